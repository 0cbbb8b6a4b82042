// Internal resistance: how it depends on temperature and on the length of the pulse.
#pragma once

#include <span>

namespace proofdrive::analysis {

// Hybrid pulse method (USABC manuals): change of voltage over change of current, ohm, positive.
// Zero when the current does not change.
double StepResistance(double v_before, double i_before, double v_after, double i_after);

// B of R(T) = R(ref) exp(B (1/T - 1/ref)), K, by least squares of ln R on 1/T. Temperatures in
// degC.
double ArrheniusB(std::span<const double> celsius, std::span<const double> ohm);
// R(celsius) / R(reference).
double ArrheniusFactor(double b_kelvin, double celsius, double reference_c);

// Ohmic part and two branches of an equivalent circuit.
struct CellCircuit {
  double r0 = 0, r1 = 0, tau1_s = 1, r2 = 0, tau2_s = 1;
};
double PulseResistance(const CellCircuit& cell, double seconds);

// Rounding to steps of `step_v` at a change of `amps`, as a share of the resistance: one standard
// deviation of the difference of two readings.
double RoundingShare(double step_v, double amps, double ohm);

}  // namespace proofdrive::analysis
