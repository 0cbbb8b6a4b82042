// Before any check: do the definitions agree with each other? Where two signals that show the same
// thing differ by a constant factor, one of their definitions is wrong, and nothing calculated from
// them is true. What comes and goes, or depends on the load, is the car and left to the checks.
#pragma once

#include "analysis/checking/check_result.h"
#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"

namespace proofdrive::analysis {

// Sets RoleSignal::unusable and ::disputed of what contradicts each other. REQUIRES:
// CheckSignals has looked at `input`.
CheckResult CheckDefinitions(CheckInput& input, const CheckSettings& settings);

}  // namespace proofdrive::analysis
