// A current sensor at the end of its range: more flows than it says.
#pragma once

#include "analysis/checking/input.h"

namespace proofdrive::analysis {

struct ClippedCurrent {
  Track current;  // values at the end of the range, and their neighbours, are NaN
  double at_a = 0;
  std::size_t values = 0;  // at the end of the range; 0: none
};
// By the range of the definition; where the largest value is another, by the pack voltage, which
// goes on moving while the current says that it stays.
ClippedCurrent WithoutClipped(const RoleSignal& current, const Track& pack);

}  // namespace proofdrive::analysis
