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

double HeldArea(std::span<const double> time_s, std::span<const double> value) {
  double area = 0;
  for (std::size_t i = 1; i < value.size(); ++i) {
    area += value[i - 1] * (time_s[i] - time_s[i - 1]);
  }
  return area;
}

Capacity CapacityBetween(double ah, double from, double to, double hours,
                         const CountErrors& errors) {
  const double swing = std::fabs(from - to);
  if (swing <= 0 || ah == 0) return {};
  const double current = std::hypot(errors.gain * ah, errors.offset_a * hours) / std::fabs(ah);
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

double CapacityOfPairs(std::span<const double> charge, std::span<const double> ah,
                       double sigma_charge, double sigma_ah) {
  double xx = 0;
  double xy = 0;
  double yy = 0;
  for (std::size_t i = 0; i < charge.size(); ++i) {
    xx += charge[i] * charge[i];
    xy += charge[i] * ah[i];
    yy += ah[i] * ah[i];
  }
  if (xy == 0) return 0;
  const double ratio = (sigma_ah / sigma_charge) * (sigma_ah / sigma_charge);
  const double difference = yy - ratio * xx;
  return (difference + std::sqrt(difference * difference + 4 * ratio * xy * xy)) / (2 * xy);
}

double ChargingCapacity(double energy_wh, double from_percent, double to_percent, double efficiency,
                        double least_swing) {
  const double swing = to_percent - from_percent;
  if (swing <= 0 || swing < least_swing) return 0;
  return efficiency * energy_wh / (swing / 100);
}

}  // namespace proofdrive::analysis
