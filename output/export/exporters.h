// Every form a session can be exported to, as a table.
#pragma once

#include <memory>
#include <span>
#include <string_view>

#include "core/base/result.h"
#include "output/export/exporter.h"

namespace proofdrive::output {

struct ExporterRow {
  std::string_view name;     // after --to
  std::string_view summary;  // one line
  std::unique_ptr<Exporter> (*make)();
};

std::span<const ExporterRow> Exporters();

// kInvalidArgument: no such form; names those there are.
Result<std::unique_ptr<Exporter>> MakeExporter(std::string_view name);

// What `export` says about what it did, for people and as JSON; both end in a newline.
std::string FormatExport(const std::string& target, const ExportReport& report);
std::string ExportJson(const std::string& target, const ExportReport& report);

}  // namespace proofdrive::output
