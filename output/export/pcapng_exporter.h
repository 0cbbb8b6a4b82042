// A session as pcapng: every frame, marks as comments, losses as drop counts.
#pragma once

#include <memory>

#include "output/export/exporter.h"

namespace proofdrive::output {

// What importing the file again gives back is in docs/captures.md.
std::unique_ptr<Exporter> MakePcapngExporter();

}  // namespace proofdrive::output
