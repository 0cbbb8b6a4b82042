// What changed besides the warnings, as sheets.
#pragma once

#include <vector>

#include "analysis/compare/comparison.h"
#include "output/sheet/sheet.h"

namespace proofdrive::output {

// Definitions that no longer hold, checks with their figures, control units, signals, traffic: in
// this order, those with something to say, those with nothing but a sentence last. `all`: every
// figure, and frames with faults.
std::vector<Sheet> ComparisonSheets(const analysis::Comparison& comparison, bool all);

}  // namespace proofdrive::output
