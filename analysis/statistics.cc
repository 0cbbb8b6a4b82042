#include "analysis/statistics.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::analysis {

double Median(std::vector<double> values) {
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return (*middle + *std::max_element(values.begin(), middle)) / 2;
}

double RobustSpread(const std::vector<double>& values, double center) {
  std::vector<double> deviations;
  deviations.reserve(values.size());
  for (const double value : values) deviations.push_back(std::fabs(value - center));
  return 1.4826 * Median(std::move(deviations));
}

void ThinnedValues::Add(float value) {
  if (seen_++ % step_ != 0) return;
  if (values_.size() == capacity_) {
    Halve();
    if ((seen_ - 1) % step_ != 0) return;
  }
  values_.push_back(value);
}

void ThinnedValues::Halve() {
  for (std::size_t i = 0; 2 * i < values_.size(); ++i) values_[i] = values_[2 * i];
  values_.resize((values_.size() + 1) / 2);
  step_ *= 2;
}

}  // namespace proofdrive::analysis
