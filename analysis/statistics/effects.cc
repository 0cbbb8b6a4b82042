#include "analysis/statistics/effects.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <numeric>
#include <random>

#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

double Mean(std::span<const double> row) {
  return std::accumulate(row.begin(), row.end(), 0.0) / static_cast<double>(row.size());
}

// Of the sample: divided by n - 1.
double Variance(std::span<const double> row) {
  const double mean = Mean(row);
  double sum = 0;
  for (const double value : row) sum += (value - mean) * (value - mean);
  return sum / static_cast<double>(row.size() - 1);
}

// Pairs in which b is greater, equal pairs counting half.
double PairsGreater(std::span<const double> a, std::span<const double> b) {
  std::vector<double> sorted(a.begin(), a.end());
  std::sort(sorted.begin(), sorted.end());
  double pairs = 0;
  for (const double value : b) {
    const auto [low, high] = std::equal_range(sorted.begin(), sorted.end(), value);
    pairs += static_cast<double>(low - sorted.begin()) + 0.5 * static_cast<double>(high - low);
  }
  return pairs;
}

// Sum of t^3 - t over groups of t equal values.
double TieTerm(std::span<const double> a, std::span<const double> b) {
  std::vector<double> all(a.begin(), a.end());
  all.insert(all.end(), b.begin(), b.end());
  std::sort(all.begin(), all.end());
  double term = 0;
  for (std::size_t i = 0; i < all.size();) {
    std::size_t k = i;
    while (k < all.size() && all[k] == all[i]) ++k;
    const auto t = static_cast<double>(k - i);
    term += t * t * t - t;
    i = k;
  }
  return term;
}

// Autocorrelation at a distance, with the variance of the whole row.
double Autocorrelation(std::span<const double> row, double mean, double sum, std::size_t distance) {
  double products = 0;
  for (std::size_t i = 0; i + distance < row.size(); ++i) {
    products += (row[i] - mean) * (row[i + distance] - mean);
  }
  return products / sum;
}

}  // namespace

double CliffsDelta(std::span<const double> a, std::span<const double> b) {
  if (a.empty() || b.empty()) return 0;
  const double pairs = static_cast<double>(a.size()) * static_cast<double>(b.size());
  return 2 * PairsGreater(a, b) / pairs - 1;
}

const char* EffectName(double delta) {
  const double size = std::fabs(delta);
  if (size < 0.147) return "negligible";
  if (size < 0.33) return "small";
  return size < 0.474 ? "medium" : "large";
}

double MannWhitneyP(std::span<const double> a, std::span<const double> b) {
  if (a.empty() || b.empty()) return 1;
  const auto n = static_cast<double>(a.size()), m = static_cast<double>(b.size());
  const double all = n + m;
  const double variance = n * m / 12 * (all + 1 - TieTerm(a, b) / (all * (all - 1)));
  if (variance <= 0) return 1;
  const double distance = std::fabs(PairsGreater(a, b) - n * m / 2) - 0.5;
  const double z = std::max(0.0, distance) / std::sqrt(variance);
  return 2 * cdf(complement(boost::math::normal(), z));
}

double HodgesLehmannShift(std::span<const double> a, std::span<const double> b) {
  std::vector<double> differences;
  differences.reserve(a.size() * b.size());
  for (const double x : a) {
    for (const double y : b) differences.push_back(y - x);
  }
  return Median(std::move(differences));
}

Equivalence TestEquivalence(std::span<const double> a, std::span<const double> b, double margin) {
  Equivalence result;
  const auto n = static_cast<double>(a.size()), m = static_cast<double>(b.size());
  const double va = Variance(a) / n, vb = Variance(b) / m;
  result.difference = Mean(b) - Mean(a);
  result.error = std::sqrt(va + vb);
  result.freedom = (va + vb) * (va + vb) / (va * va / (n - 1) + vb * vb / (m - 1));
  const boost::math::students_t t(result.freedom);
  result.p_lower = cdf(complement(t, (result.difference + margin) / result.error));
  result.p_upper = cdf(t, (result.difference - margin) / result.error);
  const double reach = quantile(t, 0.95) * result.error;
  result.low = result.difference - reach;
  result.high = result.difference + reach;
  return result;
}

double EffectiveSize(std::span<const double> row) {
  const auto n = static_cast<double>(row.size());
  if (row.size() < 3) return n;
  const double mean = Mean(row);
  const double sum = Variance(row) * (n - 1);
  if (sum <= 0) return 1;  // one value throughout says nothing about its spread
  double correlations = 0;
  for (std::size_t distance = 1; distance < row.size(); ++distance) {
    const double rho = Autocorrelation(row, mean, sum, distance);
    if (rho <= 0) break;
    correlations += rho;
  }
  return std::clamp(n / (1 + 2 * correlations), 1.0, n);
}

BootstrapMean BootstrapOfMean(std::span<const double> row, std::size_t block,
                              std::size_t resamples) {
  std::mt19937_64 generator(1);
  const std::size_t blocks = (row.size() + block - 1) / block;
  std::vector<double> means;
  means.reserve(resamples);
  for (std::size_t i = 0; i < resamples; ++i) {
    double sum = 0;
    for (std::size_t k = 0; k < blocks; ++k) {
      const std::size_t from = generator() % row.size();
      for (std::size_t j = 0; j < block; ++j) sum += row[(from + j) % row.size()];
    }
    means.push_back(sum / static_cast<double>(blocks * block));
  }
  BootstrapMean result;
  result.mean = Mean(means);
  if (resamples > 1) result.error = std::sqrt(Variance(means));
  std::sort(means.begin(), means.end());
  result.low = means[static_cast<std::size_t>(0.025 * static_cast<double>(resamples - 1))];
  result.high = means[static_cast<std::size_t>(0.975 * static_cast<double>(resamples - 1))];
  return result;
}

std::vector<double> AdjustForMany(std::span<const double> p) {
  std::vector<std::size_t> order(p.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return p[a] < p[b]; });
  std::vector<double> adjusted(p.size());
  double lowest = 1;
  for (std::size_t rank = p.size(); rank-- > 0;) {
    const double value =
        p[order[rank]] * static_cast<double>(p.size()) / static_cast<double>(rank + 1);
    lowest = std::min(lowest, value);
    adjusted[order[rank]] = lowest;
  }
  return adjusted;
}

}  // namespace proofdrive::analysis
