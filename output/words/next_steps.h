// What to do after a comparison, in the order in which it matters.
#pragma once

#include <string>
#include <vector>

#include "analysis/compare/comparison.h"

namespace proofdrive::output {

// Sentences; empty when the recordings ask for nothing. What to record next is listed by the test
// plan and only named here.
std::vector<std::string> NextSteps(const analysis::Comparison& comparison);

// What several checks of the after-session say of one place, as sentences.
std::vector<std::string> JoinedFindings(const analysis::Comparison& comparison);

}  // namespace proofdrive::output
