#include "output/export/exporters.h"

#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "core/base/text.h"
#include "output/export/frame_rows_exporter.h"
#include "output/export/pcapng_exporter.h"

namespace proofdrive::output {
namespace {

constexpr ExporterRow kExporters[] = {
    {"pcapng", "capture file for packet tools (link type 227)", MakePcapngExporter},
    {"csv", "frames as rows, not decoded", MakeFrameCsvExporter},
    {"jsonl", "frames as one JSON object a line, not decoded", MakeFrameJsonLinesExporter},
};

}  // namespace

std::span<const ExporterRow> Exporters() { return kExporters; }

Result<std::unique_ptr<Exporter>> MakeExporter(std::string_view name) {
  std::vector<std::string> names;
  for (const ExporterRow& row : kExporters) {
    if (row.name == name) return row.make();
    names.emplace_back(row.name);
  }
  return Status(
      ErrorKind::kInvalidArgument,
      "export to \"" + std::string(name) + "\" is not offered; there is " + Join(names, ", "));
}

std::string FormatExport(const std::string& target, const ExportReport& report) {
  return Printable(target) + ": " + CountOf(report.frames, "frame") + ", " +
         CountOf(report.marks, "mark") + ", " + CountOf(report.drops, "lost frame") + " noted, " +
         CountOf(report.bytes, "byte") + "\n";
}

std::string ExportJson(const std::string& target, const ExportReport& report) {
  using Json = nlohmann::ordered_json;
  const Json document = {{"target", target},      {"frames", report.frames},
                         {"marks", report.marks}, {"drops", report.drops},
                         {"bytes", report.bytes}, {"notices", report.notices}};
  return DumpJsonDocument(document);
}

}  // namespace proofdrive::output
