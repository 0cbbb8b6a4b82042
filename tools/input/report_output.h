// What reports have in common.
#pragma once

#include <string>

#include "core/base/result.h"
#include "output/report/recordings.h"
#include "session/reader.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {

// Name, size and hash of the session file that `reader` reads.
Result<output::SessionFile> FileOf(Environment& environment, const std::string& path,
                                   const session::Reader& reader);

// "proofdrive 0.1.0".
std::string Software();

}  // namespace proofdrive::tools
