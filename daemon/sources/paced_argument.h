// What is written after the colon of a source with a pace of its own.
#pragma once

#include <string>

#include "core/base/result.h"

namespace proofdrive::daemon {

// "SOURCE[@SPEED]" split: a speed is a number, or "max" for as fast as the recorder takes it. The
// older form SOURCExSPEED is read as well.
struct PacedArgument {
  std::string name;
  double speed = 1.0;  // 0 = as fast as possible
};
Result<PacedArgument> ParsePacedArgument(const std::string& argument);

}  // namespace proofdrive::daemon
