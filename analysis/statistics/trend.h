// Trends over few and unevenly spaced points: robust slope, and the test that there is one.
#pragma once

#include <span>

namespace proofdrive::analysis {

// Theil-Sen: the median of all pairwise slopes. `intercept` is the median of what the slope leaves.
struct RobustLine {
  double slope = 0;
  double intercept = 0;
  // 95 % band of the slope after Sen, from the order of the pairwise slopes.
  double slope_low = 0;
  double slope_high = 0;
};
// All zero with fewer than two different `x`. REQUIRES: as many `y` as `x`.
RobustLine TheilSen(std::span<const double> x, std::span<const double> y);

// Mann-Kendall. Null hypothesis: no trend.
struct TrendTest {
  int score = 0;        // S: rising pairs less falling ones
  double variance = 0;  // of S, corrected for ties
  double z = 0;         // with continuity correction
  double p = 1;         // two-sided; exact when `exact`
  double p_normal = 1;  // by the normal approximation
  bool exact = false;   // no ties and few enough points
};
TrendTest MannKendall(std::span<const double> y);

}  // namespace proofdrive::analysis
