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
