// What changed besides the warnings, as sheets.
#pragma once

#include <vector>

#include "analysis/compare/comparison.h"
#include "output/sheet/sheet.h"

namespace proofdrive::output {

// Control units, definitions, traffic, signals, frames with faults, checks: in this order, those
// with something to say.
std::vector<Sheet> ComparisonSheets(const analysis::Comparison& comparison);

}  // namespace proofdrive::output
