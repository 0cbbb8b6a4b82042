// Resistance from changes of current: what resistance and cooling checks share.
#pragma once

#include <vector>

#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"

namespace proofdrive::analysis {

// Changes of current (positive = discharge) and voltage over about `lag_s`.
struct StepPairs {
  std::vector<double> amps;
  std::vector<double> volts;
  Intervals times;  // from the first to the second reading of each pair, joined
  double lag_s = 0;
  double ohm = 0;  // Huber's slope, positive; 0 without pairs
  // One standard deviation: how parts of the time differ, and what no repetition shows (gains, and
  // a pulse that is shorter than the lag).
  double uncertainty = 0;
};

// Pairs of samples of `voltage` about `lag_s` apart between which the current changed by `least_a`
// or more, and moved at about the same rate at both: then what one signal comes later than the
// other cancels out. `current` may be NaN where it is not known.
StepPairs PairsOf(const Track& voltage, const Track& current, double lag_s, double least_a);

// Smallest change that counts: 0.2 C when pack.capacity is known, else resistance.step.
double LeastStep(const CheckSettings& settings);

// Of pack voltage and current over two seconds.
StepPairs PackSteps(const CheckInput& input, const CheckSettings& settings, double lag_s = 2);

}  // namespace proofdrive::analysis
