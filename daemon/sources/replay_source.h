// replay:FILE[@SPEED]: a recorded session as a source, at its own pace times a speed.
#pragma once

#include <memory>
#include <string>

#include "daemon/sources/source_kind.h"

namespace proofdrive::daemon {

// Source-table functions. Frames keep the times they were recorded with.
Result<std::string> CheckReplayArgument(const std::string& argument);
Result<std::unique_ptr<FrameSource>> MakeReplaySource(const std::string& argument,
                                                      const SourceContext& context);

}  // namespace proofdrive::daemon
