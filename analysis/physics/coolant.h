// The cooling loop: properties of the coolant, heat it carries, the pump, delays and time
// constants.
#pragma once

#include <span>
#include <vector>

namespace proofdrive::analysis {

// Ethylene glycol and water, 50 % by volume. ASHRAE handbook values through a published coefficient
// set; tables of others differ by about 1.3 % in density.
struct Coolant {
  double density = 0;        // kg/m3
  double heat_capacity = 0;  // J/(kg K)
  double viscosity = 0;      // mPa s
};
// Linear between -20 and 60 degC, held outside.
Coolant CoolantAt(double celsius);
// Heat carried per kelvin at this flow, W/K.
double HeatPerKelvin(double litres_per_minute, double celsius);
// Flow that carries `watt` with this rise of temperature, L/min. Zero rise: zero.
double ImpliedFlow(double watt, double rise_k, double celsius);

// Power of a centrifugal pump goes with the cube of its speed (affinity laws). W per (1000/min)^3.
double PumpIndex(double watt, double rpm);
// ln P = offset + exponent ln n from a good session; P in W, n in 1/min.
struct PumpLaw {
  double offset = 0;
  double exponent = 0;
  double PowerAt(double rpm) const;
};
PumpLaw FitPumpLaw(std::span<const double> rpm, std::span<const double> watt);

// By how many samples the outlet follows the inlet: where the differences correlate best.
struct Delay {
  int samples = 0;
  double correlation = 0;
};
// Correlation of the differences for each lag 0 .. `most`.
std::vector<double> DelayCorrelations(std::span<const double> inlet, std::span<const double> outlet,
                                      int most);
Delay BestDelay(std::span<const double> inlet, std::span<const double> outlet, int most);

// Flow that moves `litres` between both sensors in this time, L/min. No time: zero.
double DelayFlow(double litres, double delay_s);

// Time constant of T = end + rise * exp(-t/tau) with `end` known; the first point fixes the rise
// unless `free_start`. Zero when the points do not approach the end.
double CoolingTimeConstant(std::span<const double> time_s, std::span<const double> celsius,
                           double end_c, bool free_start);

}  // namespace proofdrive::analysis
