#include "analysis/physics/charge_count.h"

#include <cmath>

namespace proofdrive::analysis {

double Trapezoid(std::span<const double> time_s, std::span<const double> value) {
  double area = 0;
  for (std::size_t i = 1; i < value.size(); ++i) {
    area += 0.5 * (value[i] + value[i - 1]) * (time_s[i] - time_s[i - 1]);
  }
  return area;
}

Capacity CapacityBetween(double ah, double from, double to, double hours,
                         const CountErrors& errors) {
  const double swing = std::fabs(from - to);
  if (swing <= 0 || ah == 0) return {};
  const double current =
      std::hypot(errors.gain * ah, errors.offset_a * hours, errors.ah) / std::fabs(ah);
  const double charge = std::sqrt(2.0) * errors.charge / swing;
  Capacity capacity;
  capacity.ah = std::fabs(ah) / swing;
  capacity.uncertainty_ah = capacity.ah * std::hypot(current, charge);
  return capacity;
}

Efficiency EfficiencyOf(double ah_in, double ah_out, double wh_in, double wh_out) {
  if (ah_in <= 0 || wh_in <= 0 || ah_out <= 0) return {};
  Efficiency efficiency;
  efficiency.charge = ah_out / ah_in;
  efficiency.energy = wh_out / wh_in;
  efficiency.voltage = efficiency.energy / efficiency.charge;
  return efficiency;
}

}  // namespace proofdrive::analysis
