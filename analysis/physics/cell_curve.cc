#include "analysis/physics/cell_curve.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::analysis {
double NmcNegativeVolt(double x) {
  return 1.9793 * std::exp(-39.3631 * x) + 0.2482 - 0.0909 * std::tanh(29.8538 * (x - 0.1234)) -
         0.04478 * std::tanh(14.9159 * (x - 0.2769)) - 0.0205 * std::tanh(30.4444 * (x - 0.6103));
}

double NmcPositiveVolt(double y) {
  return -0.8090 * y + 4.4875 - 0.0428 * std::tanh(18.5138 * (y - 0.5542)) -
         17.7326 * std::tanh(15.7890 * (y - 0.3117)) + 17.5842 * std::tanh(15.9308 * (y - 0.3120));
}

std::optional<Chemistry> ChemistryOf(std::string_view word) {
  if (word == "nmc") return Chemistry::kNmc;
  if (word == "lfp") return Chemistry::kLfp;
  if (word == "unknown") return Chemistry::kUnknown;
  return std::nullopt;
}

std::optional<RestEnd> ExtrapolateRest(double first, double second, double third, double step_s) {
  const double ratio = (second - first) / (third - second);
  if (!(ratio > 1) || !std::isfinite(ratio)) return std::nullopt;
  RestEnd end;
  end.volt = (first * third - second * second) / (first + third - 2 * second);
  end.tau_s = step_s / std::log(ratio);
  end.left_v = end.volt - third;
  return end;
}

}  // namespace proofdrive::analysis
