// The document of `compare --json` (docs/verdicts.md).
#pragma once

#include <string>

#include "analysis/compare/comparison.h"

namespace proofdrive::output {

// Indented, ending in a newline; the same comparison gives the same text.
std::string ComparisonJson(const analysis::Comparison& comparison);

}  // namespace proofdrive::output
