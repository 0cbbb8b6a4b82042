// Evidence of different checks that points to one place in the pack is one finding.
#pragma once

#include <vector>

#include "analysis/checking/check_result.h"

namespace proofdrive::analysis {

// Numbers of cells this far apart are one place: where voltages against the body put a leak is not
// known better (proposal).
inline constexpr std::size_t kSamePlace = 4;

// Findings of two checks or more about the same cells leave `findings` and stand once, joined, in
// `joined` of the first of them.
void JoinPlaces(std::vector<CheckResult>& results);

}  // namespace proofdrive::analysis
