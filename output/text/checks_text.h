// Check results as text for people: the answers first, then what each one rests on.
#pragma once

#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/findings/coverage.h"
#include "output/words/cautions.h"

namespace proofdrive::output {

// "1 of 12 checks is outside limits, 2 ask to look closer, 6 are within limits and 3 cannot tell.",
// "2 of 12 checks could be judged: within limits; 10 cannot tell." What the answers rest on is part
// of it, and first when all of it are guesses.
std::string CheckHeadline(const std::vector<analysis::CheckResult>& results);
// The same; where the definitions describe nothing of the recording that alone, of little, besides.
std::string CheckHeadline(const std::vector<analysis::CheckResult>& results,
                          const analysis::Coverage& coverage);

// "4 answers rest on what is only a guess or known from a survey."
std::string RestOnGuesses(std::size_t count, const std::string& noun);

// Definitions that contradict each other first, as other answers rest on them; then the worst
// first, and last those that cannot tell.
std::vector<analysis::CheckResult> ByUrgency(std::vector<analysis::CheckResult> results);

// One page: headline, the caution that fits, answers by urgency, what is open in a few lines each.
// `all`: everything that every check rests on, and the other cautions.
std::string FormatChecks(const std::vector<analysis::CheckResult>& results, bool all,
                         const analysis::Coverage& coverage = {});

// "insulation.warn 500 ohm/V [looked up: UN R100 ...]".
std::string LimitText(const analysis::UsedLimit& limit);

// What belongs beside any list of check results, without doubles.
std::vector<Caution> CheckCautions();

}  // namespace proofdrive::output
