// Check 1: the insulation of the high-voltage circuit against the body.
#pragma once

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

void CheckInsulation(CheckDraft& draft);

}  // namespace proofdrive::analysis
