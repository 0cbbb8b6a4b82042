// When the pack rests: no current to speak of.
#pragma once

#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"

namespace proofdrive::analysis {

// Stretches with less than rest.current, also while a parked network sleeps for some minutes; the
// whole recording when no current was recorded.
Intervals RestingTime(const CheckInput& input, const CheckSettings& settings);

// How long the pack had rested at the end of `interval`, s: its length, and rest.before when it
// begins with the recording.
double RestedSeconds(const Interval& interval, const CheckSettings& settings);

// The value each cell settled to in the last `tail_s` of `interval`; NaN without a value there.
// Values received while balancing is on are left out when others are there.
std::vector<double> RestedCells(const CheckInput& input, const Interval& interval, double tail_s);

}  // namespace proofdrive::analysis
