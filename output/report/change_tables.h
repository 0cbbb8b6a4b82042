// What changed besides the warnings, as tables of a report.
#pragma once

#include "analysis/compare/comparison.h"
#include "output/sheet/html.h"

namespace proofdrive::output {

Html ChangeTables(const analysis::Comparison& comparison);

}  // namespace proofdrive::output
