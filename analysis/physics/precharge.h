// Charging the capacitors behind the contactors, and their discharge.
#pragma once

#include <optional>
#include <span>

namespace proofdrive::analysis {

struct PrechargeFit {
  double tau_s = 0;
  double end_v = 0;
};
// From three equally spaced readings, without knowing the end. nullopt when they do not slow down.
std::optional<PrechargeFit> PrechargeOfThree(double first, double second, double third,
                                             double step_s);
// The load that makes it end at `share` (0..1) of pack voltage; 0 = none, at 1 or more.
double LoadOf(double precharge_ohm, double share);
// Capacitance that gives this time constant; 0 when the resistor is not known.
double LinkFarad(double tau_s, double precharge_ohm);

}  // namespace proofdrive::analysis
