// The pump's part of the cooling check: power against speed, and how much it fluctuates.
#pragma once

#include <string>
#include <vector>

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

// One stretch of steady speed.
struct PumpStretch {
  Interval time;
  double rpm = 0;
  double watt = 0;       // median
  double index = 0;      // W at 1000 rpm
  double variation = 0;  // of the index, robust; rounding taken off
};

// Stretches of at least `least_s` with the pump turning at a speed steady to +-3 %, each without
// its first seconds of spinning up. `current_step_a`: resolution of the current.
std::vector<PumpStretch> PumpStretches(const Track& rpm, const Track& amps, const Track& supply_v,
                                       double current_step_a);

struct PumpJudged {
  std::vector<PumpStretch> stretches;  // for the heat balance
  // Why the power says nothing of the coolant although a good session's is known; "": it does, or
  // that is not known.
  std::string unsure;
};
PumpJudged JudgePump(CheckDraft& draft);

}  // namespace proofdrive::analysis
