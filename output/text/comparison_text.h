// A comparison as text for people: the answer first, then the evidence.
#pragma once

#include <string>

#include "analysis/compare/comparison.h"

namespace proofdrive::output {

// "2 of 11 warnings are still on, 1 is not proven and 3 are cleared." One sentence.
std::string Headline(const analysis::Comparison& comparison);

// Headline, the caution that fits, what to do, verdicts, what changed by importance, session facts;
// at most kPageWidth wide. `all`: also why what was off in both is so, every figure, frames
// with faults and the other cautions.
std::string FormatComparison(const analysis::Comparison& comparison, bool all = false);

}  // namespace proofdrive::output
