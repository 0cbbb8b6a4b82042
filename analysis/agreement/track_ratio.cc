#include "analysis/agreement/track_ratio.h"

#include <algorithm>
#include <cmath>

#include "analysis/checking/input.h"

namespace proofdrive::analysis {
namespace {

constexpr std::size_t kMostPoints = 2000;
constexpr double kShortSilence = 2;  // s

double Quantile(const std::vector<double>& sorted, double share) {
  const double at = share * static_cast<double>(sorted.size() - 1);
  return sorted[static_cast<std::size_t>(std::lround(at))];
}

double Middle(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return Quantile(values, 0.5);
}

// Stretches without a silence.
Intervals Spoken(const Track& track) {
  const double gap = std::max(CheckInput::Gap(track), kShortSilence);
  return Where(track, gap, [](double) { return true; });
}

}  // namespace

Ratio RatioOf(const Track& a, const Track& b, const Intervals& when, double least_b) {
  Ratio ratio;
  const double age = CheckInput::Gap(b);
  std::vector<double> ratios, as, bs;
  const Track thin = Thinned(KeepIn(a, when), kMostPoints);
  for (std::size_t i = 0; i < thin.size(); ++i) {
    const auto other = ValueAt(b, thin.time_s[i], age);
    if (!other || *other < least_b) continue;
    ratios.push_back(thin.value[i] / *other);
    as.push_back(thin.value[i]);
    bs.push_back(*other);
  }
  ratio.count = ratios.size();
  if (ratios.empty()) return ratio;
  std::sort(ratios.begin(), ratios.end());
  ratio.low = Quantile(ratios, 0.1);
  ratio.middle = Quantile(ratios, 0.5);
  ratio.high = Quantile(ratios, 0.9);
  ratio.a = Middle(std::move(as));
  ratio.b = Middle(std::move(bs));
  return ratio;
}

bool Near(double ratio, double other, double tolerance) {
  return std::fabs(ratio / other - 1) <= tolerance;
}

Intervals Unbroken(std::initializer_list<const Track*> tracks) {
  Intervals common;
  for (const Track* track : tracks) {
    const Intervals spoken = Spoken(*track);
    common = track == *tracks.begin() ? spoken : Both(common, spoken);
  }
  return common;
}

}  // namespace proofdrive::analysis
