// What was measured by hand, in words.
#pragma once

#include <string>

#include "session/beside/measurements.h"

namespace proofdrive::output {

// "2026-03-01T12:00:30Z insulation 2.1 Mohm (insulation tester, 500 V, pack side)".
std::string MeasuredText(const session::Measurement& measurement);

}  // namespace proofdrive::output
