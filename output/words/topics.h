// What a result is about, so that the caution that fits it can be chosen.
#pragma once

#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/compare/comparison.h"
#include "output/words/cautions.h"

namespace proofdrive::output {

// Of the checks that are not within limits.
std::vector<CautionTopic> CheckTopics(const std::vector<analysis::CheckResult>& results);

// Of a warning, by the roles of the signals of its condition; where none has one, the pack may be
// meant.
CautionTopic WarningTopic(const decoders::Definitions& definitions, const std::string& warning);

// Of what is open, not proven or without evidence, and of the checks of the after-session. What was
// cleared counts where insulation came back.
std::vector<CautionTopic> ComparisonTopics(const analysis::Comparison& comparison);

}  // namespace proofdrive::output
