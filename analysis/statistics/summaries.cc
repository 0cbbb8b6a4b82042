#include "analysis/statistics/summaries.h"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
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

std::vector<float> Percentiles(std::vector<double> values) {
  std::vector<float> percentiles;
  if (values.empty()) return percentiles;
  std::sort(values.begin(), values.end());
  for (std::size_t p = 0; p <= 100; ++p) {
    percentiles.push_back(static_cast<float>(values[(p * (values.size() - 1) + 50) / 100]));
  }
  return percentiles;
}

namespace {

// Share of a distribution, given by its percentiles, that is at most `value`.
double ShareUpTo(const std::vector<float>& percentiles, float value) {
  const auto above = std::upper_bound(percentiles.begin(), percentiles.end(), value);
  return static_cast<double>(above - percentiles.begin()) / static_cast<double>(percentiles.size());
}

}  // namespace

double DistributionDistance(const std::vector<float>& a, const std::vector<float>& b) {
  if (a.empty() || b.empty()) return 0;
  double distance = 0;
  for (const std::vector<float>* points : {&a, &b}) {
    for (const float value : *points) {
      distance = std::max(distance, std::fabs(ShareUpTo(a, value) - ShareUpTo(b, value)));
    }
  }
  return distance;
}

double ChanceOfCounts(std::uint64_t a, double exposure_a, std::uint64_t b, double exposure_b) {
  if (a + b == 0 || exposure_a <= 0 || exposure_b <= 0) return 1;
  const double share = exposure_b / (exposure_a + exposure_b);
  const boost::math::binomial_distribution<double> counts(static_cast<double>(a + b), share);
  const double k = static_cast<double>(b);
  const double at_most = cdf(counts, k);
  const double at_least = b == 0 ? 1 : cdf(complement(counts, k - 1));
  return std::min(1.0, 2 * std::min(at_most, at_least));
}

void ThinnedValues::Add(float value) {
  // The step is a power of two.
  if ((seen_++ & (step_ - 1)) != 0) return;
  if (values_.size() == capacity_) {
    Halve();
    if (((seen_ - 1) & (step_ - 1)) != 0) return;
  }
  values_.push_back(value);
}

void ThinnedValues::Halve() {
  for (std::size_t i = 0; 2 * i < values_.size(); ++i) values_[i] = values_[2 * i];
  values_.resize((values_.size() + 1) / 2);
  step_ *= 2;
}

}  // namespace proofdrive::analysis
