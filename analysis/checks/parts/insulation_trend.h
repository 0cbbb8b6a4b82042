// Part of the check of the insulation: what the settled readings did over time.
#pragma once

#include <cstddef>
#include <optional>

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

// The trend of a resistance within one recording or over many: on log10, in time of `track`.
struct ResistanceTrend {
  double percent = 0;        // change over the whole track
  double per_second = 0;     // of log10
  double low = 0, high = 0;  // its 95 % band
  double p = 1;              // chance of such a trend without a cause (Mann-Kendall)
};
// Medians of at most `bins` stretches stand for the samples, which are not independent. nullopt
// with fewer than five of them.
std::optional<ResistanceTrend> TrendOf(const Track& kohm, std::size_t bins);

// Contactors open and closed are two circuits: each has its own trend, over its longest time
// without switching, when the lines to the body have settled. `settled` in kohm, not empty.
void JudgeTrend(CheckDraft& draft, const Track& settled, const Intervals& settled_time);

// The low end of the readings is above the limits; are there times at which it is not?
// REQUIRES: `settled` is not empty, working_v > 0.
void JudgeIntermittent(CheckDraft& draft, const Track& settled, double working_v);

}  // namespace proofdrive::analysis
