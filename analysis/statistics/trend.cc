#include "analysis/statistics/trend.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <vector>

#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kNormal95 = 1.959963984540054;
// Beyond this the number of permutations no longer fits and the approximation is good anyway.
constexpr std::size_t kMostExact = 20;

// n(n-1)(2n+5)/18 less the share of equal values; `tied` says whether there are any.
double ScoreVariance(std::span<const double> y, bool& tied) {
  const auto term = [](double n) { return n * (n - 1) * (2 * n + 5); };
  std::map<double, double> counts;
  for (const double value : y) ++counts[value];
  double sum = term(static_cast<double>(y.size()));
  for (const auto& [value, count] : counts) sum -= term(count);
  tied = counts.size() < y.size();
  return sum / 18;
}

// Chance of |S| >= |score| among all orders of n different values. Number of orders by inversions:
// each further value adds 0 .. i of them.
double ExactChance(std::size_t n, int score) {
  std::vector<double> orders = {1};
  for (std::size_t i = 1; i < n; ++i) {
    std::vector<double> next(orders.size() + i, 0);
    for (std::size_t k = 0; k < orders.size(); ++k) {
      for (std::size_t more = 0; more <= i; ++more) next[k + more] += orders[k];
    }
    orders = std::move(next);
  }
  const auto pairs = static_cast<double>(n) * static_cast<double>(n - 1) / 2;
  double all = 0;
  double extreme = 0;
  for (std::size_t inversions = 0; inversions < orders.size(); ++inversions) {
    all += orders[inversions];
    const double s = pairs - 2 * static_cast<double>(inversions);
    if (std::fabs(s) >= std::abs(score)) extreme += orders[inversions];
  }
  return extreme / all;
}

}  // namespace

RobustLine TheilSen(std::span<const double> x, std::span<const double> y) {
  RobustLine line;
  std::vector<double> slopes;
  for (std::size_t i = 0; i < x.size(); ++i) {
    for (std::size_t j = i + 1; j < x.size(); ++j) {
      if (x[j] != x[i]) slopes.push_back((y[j] - y[i]) / (x[j] - x[i]));
    }
  }
  if (slopes.empty()) return line;
  line.slope = Median(slopes);
  std::vector<double> rest;
  for (std::size_t i = 0; i < x.size(); ++i) rest.push_back(y[i] - line.slope * x[i]);
  line.intercept = Median(std::move(rest));
  std::sort(slopes.begin(), slopes.end());
  bool tied = false;
  const double width = kNormal95 * std::sqrt(ScoreVariance(y, tied));
  const auto count = static_cast<double>(slopes.size());
  const double last = count - 1;
  const double high = std::nearbyint((count + width) / 2);
  const double low = std::nearbyint((count - width) / 2) - 1;
  line.slope_low = slopes[static_cast<std::size_t>(std::clamp(low, 0.0, last))];
  line.slope_high = slopes[static_cast<std::size_t>(std::clamp(high, 0.0, last))];
  return line;
}

TrendTest MannKendall(std::span<const double> y) {
  TrendTest test;
  for (std::size_t i = 0; i < y.size(); ++i) {
    for (std::size_t j = i + 1; j < y.size(); ++j) {
      test.score += y[j] > y[i] ? 1 : (y[j] < y[i] ? -1 : 0);
    }
  }
  bool tied = false;
  test.variance = ScoreVariance(y, tied);
  if (test.score != 0 && test.variance > 0) {
    test.z = (test.score + (test.score > 0 ? -1 : 1)) / std::sqrt(test.variance);
  }
  test.p_normal = std::erfc(std::fabs(test.z) / std::numbers::sqrt2);
  test.exact = !tied && y.size() >= 2 && y.size() <= kMostExact;
  test.p = test.exact ? ExactChance(y.size(), test.score) : test.p_normal;
  return test;
}

}  // namespace proofdrive::analysis
