// Ways to cut payloads that look at no order in them: what a survey has to be better than.
#pragma once

#include <cstdint>
#include <vector>

#include "tests/survey/truth.h"

namespace proofdrive::survey_tests {

enum class Chance { kBytes, kWords, kRandom };

// Checks, counters and selectors as `found` has them: only the fields are left to chance.
std::vector<analysis::survey::FoundFrame> CutByChance(
    const Recording& recording, const std::vector<analysis::survey::FoundFrame>& found,
    Chance chance, std::uint64_t seed);

}  // namespace proofdrive::survey_tests
