#include "analysis/physics/resistance.h"

#include <cmath>
#include <vector>

#include "analysis/statistics/robust.h"

namespace proofdrive::analysis {
namespace {

constexpr double kZeroCelsius = 273.15;

}  // namespace

double StepResistance(double v_before, double i_before, double v_after, double i_after) {
  if (i_after == i_before) return 0;
  return std::fabs((v_after - v_before) / (i_after - i_before));
}

double ArrheniusB(std::span<const double> celsius, std::span<const double> ohm) {
  std::vector<double> x;
  std::vector<double> y;
  for (std::size_t i = 0; i < celsius.size(); ++i) {
    x.push_back(1 / (celsius[i] + kZeroCelsius));
    y.push_back(std::log(ohm[i]));
  }
  return LeastSquares(x, y).slope;
}

double ArrheniusFactor(double b_kelvin, double celsius, double reference_c) {
  return std::exp(b_kelvin * (1 / (celsius + kZeroCelsius) - 1 / (reference_c + kZeroCelsius)));
}

double PulseResistance(const CellCircuit& cell, double seconds) {
  return cell.r0 + cell.r1 * (1 - std::exp(-seconds / cell.tau1_s)) +
         cell.r2 * (1 - std::exp(-seconds / cell.tau2_s));
}

double RoundingShare(double step_v, double amps, double ohm) {
  return step_v * std::sqrt(2.0 / 12) / std::fabs(amps) / ohm;
}

}  // namespace proofdrive::analysis
