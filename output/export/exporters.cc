#include "output/export/exporters.h"

#include "core/base/text.h"
#include "output/export/pcapng_exporter.h"

namespace proofdrive::output {
namespace {

constexpr ExporterRow kExporters[] = {
    {"pcapng", "capture file for packet tools (link type 227)", MakePcapngExporter},
};

}  // namespace

std::span<const ExporterRow> Exporters() { return kExporters; }

Result<std::unique_ptr<Exporter>> MakeExporter(std::string_view name) {
  std::vector<std::string> names;
  for (const ExporterRow& row : kExporters) {
    if (row.name == name) return row.make();
    names.emplace_back(row.name);
  }
  const std::string hint =
      name == "csv" ? ". For CSV use: proofdrive decode SESSION --format csv" : "";
  return Status(ErrorKind::kInvalidArgument, "export to \"" + std::string(name) +
                                                 "\" is not offered; there is " +
                                                 Join(names, ", ") + hint);
}

}  // namespace proofdrive::output
