// Charging the capacitors behind the contactors, and their discharge.
#pragma once

#include <optional>
#include <span>

namespace proofdrive::analysis {

struct PrechargeFit {
  double tau_s = 0;
  double end_v = 0;
};
// tau of V(1 - exp(-t/tau)) with V known: straight line through the origin on ln(1 - v/V).
// `weighted`: late points, where rounding counts most, count least. Points at or above V are left
// out. nullopt with fewer than two usable points.
std::optional<double> PrechargeTau(std::span<const double> time_s, std::span<const double> volt,
                                   double pack_v, bool weighted);
// From three equally spaced readings, without knowing the end. nullopt when they do not slow down.
std::optional<PrechargeFit> PrechargeOfThree(double first, double second, double third,
                                             double step_s);
// Time to reach `share` (0..1) of the end.
double SecondsToShare(double tau_s, double share);
// Where a pre-charge ends with a load left on behind the contactors.
double LoadedEnd(double pack_v, double precharge_ohm, double load_ohm);
// The load that makes it end at `share` (0..1) of pack voltage; 0 = none, at 1 or more.
double LoadOf(double precharge_ohm, double share);
// Capacitance that gives this time constant; 0 when the resistor is not known.
double LinkFarad(double tau_s, double precharge_ohm);
// Time to fall from `from_v` to `to_v`.
double DecaySeconds(double tau_s, double from_v, double to_v);

}  // namespace proofdrive::analysis
