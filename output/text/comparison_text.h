// A comparison as text for people: the answer first, then the evidence.
#pragma once

#include <string>

#include "analysis/compare/comparison.h"

namespace proofdrive::output {

// "3 of 11 warnings are cleared, 2 are still on and 1 is not proven." One sentence.
std::string Headline(const analysis::Comparison& comparison);

// Headline, verdicts, traffic, cautions and session facts; at most kPageWidth wide.
std::string FormatComparison(const analysis::Comparison& comparison);

}  // namespace proofdrive::output
