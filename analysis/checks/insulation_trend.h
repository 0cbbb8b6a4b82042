// Part of the check of the insulation: what the settled readings did over time.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

// Contactors open and closed are two circuits: each has its own trend, over its longest time
// without switching, when the lines to the body have settled. `settled` in kohm, not empty.
void JudgeTrend(CheckDraft& draft, const Track& settled, const Intervals& settled_time);

// The low end of the readings is above the limits; are there times at which it is not?
// REQUIRES: `settled` is not empty, working_v > 0.
void JudgeIntermittent(CheckDraft& draft, const Track& settled, double working_v);

}  // namespace proofdrive::analysis
