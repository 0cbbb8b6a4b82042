// Small numerical helpers of the model. Only + - * / are used (and the compiler keeps them apart in
// ISO mode), so results do not depend on the mathematical library.
#pragma once

#include <algorithm>
#include <cstddef>
#include <span>

namespace proofdrive::bench {

// Linear interpolation in values given at first, first + step, ...; held beyond both ends.
inline double Interpolate(std::span<const double> values, double first, double step, double x) {
  const double place = (x - first) / step;
  if (place <= 0) return values.front();
  const auto last = static_cast<double>(values.size() - 1);
  if (place >= last) return values.back();
  const auto index = static_cast<std::size_t>(place);
  const double part = place - static_cast<double>(index);
  return values[index] + part * (values[index + 1] - values[index]);
}

// One step of dx/dt = (target - x) / tau by the trapezoidal rule; the target itself for tau <= 0.
inline double Relax(double x, double target, double tau, double dt) {
  if (tau <= 0) return target;
  const double ratio = dt / tau;
  return x + (target - x) * (ratio / (1 + 0.5 * ratio));
}

}  // namespace proofdrive::bench
