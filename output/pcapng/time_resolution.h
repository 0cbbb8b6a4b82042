// How finely a capture really tells times, whatever its header claims.
#pragma once

#include <string>

#include "core/base/files.h"
#include "core/base/result.h"
#include "core/base/time.h"

namespace proofdrive::output {

// The coarsest of 1 us, 100 ns, 10 ns and 1 ns that keeps the time of every frame exactly. Digits
// that are always zero make a session larger by about a third, so it is worth reading the capture
// once for it; ends as soon as 1 ns is needed. Errors as
// OpenCapture and CaptureReader::Next.
Result<Duration> ResolutionOf(Files& files, const std::string& capture);

}  // namespace proofdrive::output
