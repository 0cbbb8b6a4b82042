// When the pack rests: no current to speak of.
#pragma once

#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"

namespace proofdrive::analysis {

// Stretches of samples below `most` (without sign) with no silence longer than `gap_s` between two;
// each ends with its last quiet sample: what flows before the next one is not known.
Intervals QuietTime(const Track& current, double gap_s, double most);

// Stretches with less than rest.current, also while a parked network sleeps for up to two hours.
// When no current was recorded: the contactors open, or without their state cells and pack voltage
// that hold still for minutes; never while the car moves or charges.
Intervals RestingTime(const CheckInput& input, const CheckSettings& settings);

// How long the pack had rested at the end of `interval`, s: its length, and rest.before when it
// begins with the recording.
double RestedSeconds(const Interval& interval, const CheckSettings& settings);

// How long a pack as warm as in this rest has to stand until its voltages tell its charge, s:
// `hours` (rest.hours), three times as long below 20 degC, six times below 0 degC (proposal).
double NeededRestSeconds(const CheckInput& input, double hours, const Interval& rest);

// The value each cell settled to in the last `tail_s` of `interval`; NaN without a value there.
// Values received while balancing is on are left out when others are there.
std::vector<double> RestedCells(const CheckInput& input, const Interval& interval, double tail_s);

}  // namespace proofdrive::analysis
