// Robust figures of small samples: outliers among neighbours, slopes that one bad pair cannot move.
#pragma once

#include <span>
#include <vector>

namespace proofdrive::analysis {

// Median absolute deviation from the median, not scaled. Zero when empty.
double MedianDeviation(std::span<const double> values);

// Modified z-scores 0.6745 (v - median) / MAD; all zero when more than half are equal. Values
// beyond
// +-3.5 are outliers by the usual rule (from memory).
std::vector<double> ModifiedZ(std::span<const double> values);
inline constexpr double kOutlierZ = 3.5;

// Value below which the share 0..1 lies, linear between neighbours (as most libraries do). Zero
// when empty.
double Quantile(std::vector<double> values, double share);

double Mean(std::span<const double> values);
// Of the sample (n - 1); zero with fewer than two.
double StandardDeviation(std::span<const double> values);
// Standard deviation over mean.
double Variation(std::span<const double> values);

// y = slope * x by least squares.
double LeastSquaresThroughOrigin(std::span<const double> x, std::span<const double> y);
struct Line {
  double slope = 0;
  double intercept = 0;
};
Line LeastSquares(std::span<const double> x, std::span<const double> y);

// Pearson's correlation; zero when either side does not vary.
double Correlation(std::span<const double> x, std::span<const double> y);

}  // namespace proofdrive::analysis
