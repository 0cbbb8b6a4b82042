#include "analysis/figures/conditions.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace proofdrive::analysis {
namespace {

// Insulation halves per 10 K of warming at the quickest (from memory: coolant and potting); a dry
// leak does not change at all. Where between the two is not known: evenly spread.
constexpr double kMostHalvings = 0.1;  // per K
// Of two numbers between which all are equally likely, the standard deviation.
constexpr double kEven = 0.28867513;  // 1 / sqrt(12)

// Resistance of cells over seconds: exp(E / R (1/T - 1/T')), E from 20 to 30 kJ/mol above 10 degC
// and 30 to 50 below 0 degC (from memory; published cells: 21 kJ/mol, 15 for 25 degC is x 1.34),
// and only within 10 K (docs/checks.md).
constexpr double kMostKelvin = 10;
constexpr double kGas = 8.314;  // J/(mol K)
constexpr double kZero = 273.15;
struct Energy {
  double low, high;  // J/mol
};
constexpr Energy kWarm = {20e3, 30e3}, kFrozen = {30e3, 50e3};
constexpr double kWarmFrom = 10, kFrozenTo = 0;  // degC

Energy EnergyAt(double celsius) {
  const double warm = std::clamp((celsius - kFrozenTo) / (kWarmFrom - kFrozenTo), 0.0, 1.0);
  return {std::lerp(kFrozen.low, kWarm.low, warm), std::lerp(kFrozen.high, kWarm.high, warm)};
}

// Where one percent of charge moves the voltage by less, V for the whole charge, nothing is told.
constexpr double kLeastSlope = 0.2;

}  // namespace

Factor InsulationFactor(double from_celsius, double to_celsius) {
  const double most = -std::numbers::ln2 * kMostHalvings * (to_celsius - from_celsius);
  return {std::exp(most / 2), kEven * std::fabs(most)};
}

std::optional<Factor> CellResistanceFactor(double from_celsius, double to_celsius) {
  if (std::fabs(to_celsius - from_celsius) > kMostKelvin) return std::nullopt;
  const Energy energy = EnergyAt((from_celsius + to_celsius) / 2);
  const double per_joule = (1 / (to_celsius + kZero) - 1 / (from_celsius + kZero)) / kGas;
  return Factor{std::exp((energy.low + energy.high) / 2 * per_joule),
                kEven * (energy.high - energy.low) * std::fabs(per_joule)};
}

std::optional<Factor> SpreadFactor(std::span<const OpenCurve> curves, double from_volt,
                                   double to_volt) {
  if (curves.empty()) return std::nullopt;
  double low = 0, high = 0;
  bool first = true;
  for (const OpenCurve& curve : curves) {
    const double from = curve.Slope(curve.ChargeAt(from_volt));
    const double to = curve.Slope(curve.ChargeAt(to_volt));
    if (from < kLeastSlope || to < kLeastSlope) return std::nullopt;
    const double log = std::log(to / from);
    low = first ? log : std::min(low, log);
    high = first ? log : std::max(high, log);
    first = false;
  }
  return Factor{std::exp((low + high) / 2), kEven * (high - low)};
}

}  // namespace proofdrive::analysis
