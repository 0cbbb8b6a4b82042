// Robust summaries of plain numbers.
#pragma once

#include <cstdint>
#include <vector>

namespace proofdrive::analysis {

// Middle value; the mean of the two middle ones for an even count. Zero when empty. Takes a copy
// because it reorders.
double Median(std::vector<double> values);

// Median absolute deviation from `center`, times 1.4826: equal to the standard deviation for
// normally distributed values, and unmoved by up to half of them being outliers. Zero when empty.
double RobustSpread(const std::vector<double>& values, double center);

// The 0th to the 100th percentile, 101 values: those of the sorted row at the nearest rank. Empty
// when empty.
std::vector<float> Percentiles(std::vector<double> values);

// Largest distance between two distribution functions, 0..1, read from their Percentiles
// (two-sample Kolmogorov-Smirnov distance, to within 0.02 for a hundred values or more). 0 when one
// is empty.
double DistributionDistance(const std::vector<float>& a, const std::vector<float>& b);

// The chance, two-sided, that counts `a` and `b` gathered over `exposure_a` and `exposure_b` (times
// or trials) differ at least this much although the rate is the same: given a + b, b is binomial
// with the share of its exposure. 1 when nothing was counted or an exposure is not positive.
double ChanceOfCounts(std::uint64_t a, double exposure_a, std::uint64_t b, double exposure_b);

// Keeps at most `capacity` values of a long row, evenly: every value at first, then every second,
// every fourth, and so on. The same input gives the same selection.
class ThinnedValues {
 public:
  explicit ThinnedValues(std::size_t capacity) : capacity_(capacity) {}
  void Add(float value);
  std::uint64_t seen() const { return seen_; }
  std::vector<double> kept() const { return {values_.begin(), values_.end()}; }

 private:
  void Halve();

  std::size_t capacity_;
  std::uint64_t step_ = 1;
  std::uint64_t seen_ = 0;
  std::vector<float> values_;
};

}  // namespace proofdrive::analysis
