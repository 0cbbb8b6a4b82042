// What reports have in common.
#pragma once

#include <string>

#include "core/base/result.h"
#include "output/report/recordings.h"
#include "session/recording_reader.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {

// Names, size and hashes of the files that `reader` reads.
Result<output::SessionFile> FileOf(Environment& environment,
                                   const session::RecordingReader& reader);

// "proofdrive 0.1.0".
std::string Software();

}  // namespace proofdrive::tools
