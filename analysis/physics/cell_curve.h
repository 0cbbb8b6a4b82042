// Open-circuit voltage of a cell against its charge, where the chemistry allows to use it.
#pragma once

#include <optional>
#include <string_view>

namespace proofdrive::analysis {

enum class Chemistry {
  kUnknown,
  kNmc,  // nickel manganese cobalt against graphite
  kLfp,  // iron phosphate: a plateau, and hysteresis of 5 - 25 mV
};
// "nmc", "lfp", "unknown"; nullopt for another word.
std::optional<Chemistry> ChemistryOf(std::string_view word);

// Half cells of the same source: NMC811 against lithium, filled `y`; graphite with silicon, `x`.
double NmcPositiveVolt(double y);
double NmcNegativeVolt(double x);

// What three equally spaced readings of a resting cell are heading for.
struct RestEnd {
  double volt = 0;
  double tau_s = 0;
  double left_v = 0;  // still to go after the third reading
};
// nullopt when the readings do not slow down. `step_s` between readings.
std::optional<RestEnd> ExtrapolateRest(double first, double second, double third, double step_s);

}  // namespace proofdrive::analysis
