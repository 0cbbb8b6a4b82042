#include "analysis/statistics/robust.h"

#include <algorithm>
#include <cmath>

#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kNormalQuartile = 0.6745;

std::vector<double> Deviations(std::span<const double> values, double center) {
  std::vector<double> deviations;
  for (const double value : values) deviations.push_back(std::fabs(value - center));
  return deviations;
}

}  // namespace

double MedianDeviation(std::span<const double> values) {
  return Median(Deviations(values, Median({values.begin(), values.end()})));
}

std::vector<double> ModifiedZ(std::span<const double> values) {
  const double center = Median({values.begin(), values.end()});
  const double deviation = MedianDeviation(values);
  std::vector<double> scores(values.size(), 0);
  if (deviation <= 0) return scores;
  for (std::size_t i = 0; i < values.size(); ++i) {
    scores[i] = kNormalQuartile * (values[i] - center) / deviation;
  }
  return scores;
}

double Quantile(std::vector<double> values, double share) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  const double place = std::clamp(share, 0.0, 1.0) * static_cast<double>(values.size() - 1);
  const auto index = static_cast<std::size_t>(place);
  if (index + 1 >= values.size()) return values.back();
  return values[index] + (place - static_cast<double>(index)) * (values[index + 1] - values[index]);
}

double Mean(std::span<const double> values) {
  double sum = 0;
  for (const double value : values) sum += value;
  return values.empty() ? 0 : sum / static_cast<double>(values.size());
}

double StandardDeviation(std::span<const double> values) {
  if (values.size() < 2) return 0;
  const double mean = Mean(values);
  double sum = 0;
  for (const double value : values) sum += (value - mean) * (value - mean);
  return std::sqrt(sum / static_cast<double>(values.size() - 1));
}

double Variation(std::span<const double> values) {
  const double mean = Mean(values);
  return mean == 0 ? 0 : StandardDeviation(values) / std::fabs(mean);
}

double LeastSquaresThroughOrigin(std::span<const double> x, std::span<const double> y) {
  double xy = 0;
  double xx = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    xy += x[i] * y[i];
    xx += x[i] * x[i];
  }
  return xx > 0 ? xy / xx : 0;
}

Line LeastSquares(std::span<const double> x, std::span<const double> y) {
  const double mean_x = Mean(x);
  const double mean_y = Mean(y);
  double xy = 0;
  double xx = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    xy += (x[i] - mean_x) * (y[i] - mean_y);
    xx += (x[i] - mean_x) * (x[i] - mean_x);
  }
  Line line;
  line.slope = xx > 0 ? xy / xx : 0;
  line.intercept = mean_y - line.slope * mean_x;
  return line;
}

double Correlation(std::span<const double> x, std::span<const double> y) {
  const double mean_x = Mean(x);
  const double mean_y = Mean(y);
  double xy = 0;
  double xx = 0;
  double yy = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    xy += (x[i] - mean_x) * (y[i] - mean_y);
    xx += (x[i] - mean_x) * (x[i] - mean_x);
    yy += (y[i] - mean_y) * (y[i] - mean_y);
  }
  return xx > 0 && yy > 0 ? xy / std::sqrt(xx * yy) : 0;
}

}  // namespace proofdrive::analysis
