// Counting charge and energy, and what a pack can hold between two rested points.
#pragma once

#include <span>

namespace proofdrive::analysis {

// Area under irregular samples, in value x seconds.
double Trapezoid(std::span<const double> time_s, std::span<const double> value);

// Uncertainties, one standard deviation each.
struct CountErrors {
  double charge = 0.01;   // of each state of charge, 0..1
  double gain = 0.005;    // of the current, relative
  double offset_a = 0.1;  // of the current
  double ah = 0;          // of the count: what flowed while nothing was received
};
struct Capacity {
  double ah = 0;
  double uncertainty_ah = 0;  // one standard deviation
};
// `ah` counted while the state of charge fell from `from` to `to` (0..1) in `hours`.
Capacity CapacityBetween(double ah, double from, double to, double hours,
                         const CountErrors& errors);

// What comes back of what was put in between two equal states of charge, 0..1 each.
struct Efficiency {
  double charge = 0;   // Ah out over Ah in; above 0.99 for sound lithium cells (published)
  double energy = 0;   // Wh out over Wh in
  double voltage = 0;  // the ratio of both: mean voltage out over mean voltage in
};
// All zero without a charge.
Efficiency EfficiencyOf(double ah_in, double ah_out, double wh_in, double wh_out);

}  // namespace proofdrive::analysis
