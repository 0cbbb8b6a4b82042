// What a parked car loses, over one or several pauses.
#pragma once

#include <span>

namespace proofdrive::analysis {

// Both ends rested, no charging or driving between them.
struct Pause {
  double hours = 0;
  double lost_percent = 0;  // of the state of charge
};

// Sum of losses over sum of hours, not the mean of single ratios. Percent per day; zero without
// hours.
double LossPerDay(std::span<const Pause> pauses);
// Its uncertainty from steps of `step_percent` and from what the value shown still settles by
// within each pause (one standard deviation, percent); one standard deviation, percent per day.
double LossUncertainty(std::span<const Pause> pauses, double step_percent,
                       double settle_percent = 0);
// Mean power of a loss, W.
double LossWatt(double percent_per_day, double usable_kwh);

}  // namespace proofdrive::analysis
