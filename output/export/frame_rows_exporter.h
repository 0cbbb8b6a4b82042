// The frames of a session as rows of text, without any definitions: for scripts and spreadsheets.
#pragma once

#include <memory>

#include "output/export/exporter.h"

namespace proofdrive::output {

// time_s,bus,id,kind,length,data: seconds since 1970 with 6 decimals, the identifier as people
// write it, and the data as hexadecimal digits. `kind` is data, fd, remote, error or mark; of a
// mark, data is its text.
std::unique_ptr<Exporter> MakeFrameCsvExporter();
// The same as one JSON object a line; a mark has "text" instead of "id", "length" and "data".
std::unique_ptr<Exporter> MakeFrameJsonLinesExporter();

}  // namespace proofdrive::output
