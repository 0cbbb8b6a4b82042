// Two signals that should show the same thing, divided by each other. Pure.
#pragma once

#include <cstddef>
#include <optional>

#include "analysis/checking/track.h"

namespace proofdrive::analysis {

struct Ratio {
  std::size_t count = 0;
  double low = 0, middle = 0, high = 0;  // 10 %, 50 % and 90 % of the values
  double a = 0, b = 0;                   // medians of both sides

  // A wrong scale is the same all the time; what comes and goes is the car.
  bool Steady(double tolerance) const {
    return high - middle <= tolerance * middle && middle - low <= tolerance * middle;
  }
};
// a / b where both are known and `b` is at least `least_b`; `count` 0 when there is nothing.
Ratio RatioOf(const Track& a, const Track& b, const Intervals& when, double least_b);

// Whether two ratios are the same within a relative tolerance.
bool Near(double ratio, double other, double tolerance);

// The stretches in which no track is silent for longer than a few periods.
Intervals Unbroken(std::initializer_list<const Track*> tracks);

}  // namespace proofdrive::analysis
