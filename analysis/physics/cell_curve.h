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

// Of NMC811 against graphite with silicon, `charge` 0..1, from the half-cell functions of
// J. Electrochem. Soc. 167 (2020) 080534 with lithium conserved between 2.5 V and full.
double NmcOpenVoltage(double charge);
// Millivolt per percent of charge, over +-0.5 %.
double NmcSlope(double charge);
// Charge 0..1 at this open-circuit voltage; limited to that range.
double NmcChargeOf(double volt);

// Charge from a rested voltage; nullopt when the chemistry is not known, or does not say: iron
// phosphate is only readable below about 15 % and above about 95 %, and no published curve is used
// for it here.
std::optional<double> ChargeOf(Chemistry chemistry, double rested_volt);

// Difference of charge in percent that `millivolt` means around `charge`; nullopt as above.
std::optional<double> PercentOf(Chemistry chemistry, double millivolt, double charge);

// What three equally spaced readings of a resting cell are heading for.
struct RestEnd {
  double volt = 0;
  double tau_s = 0;
  double left_v = 0;  // still to go after the third reading
};
// nullopt when the readings do not slow down. `step_s` between readings.
std::optional<RestEnd> ExtrapolateRest(double first, double second, double third, double step_s);

}  // namespace proofdrive::analysis
