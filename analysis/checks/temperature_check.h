// The temperatures' part of the cooling check: spread, hot spots, self-heating.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

// Rise of each element against the median of the others from the first fifth of the time to the
// last, K.
std::vector<double> RiseAgainstRest(const std::vector<Track>& sensors, const Interval& time);

void JudgeTemperatures(CheckDraft& draft);

}  // namespace proofdrive::analysis
