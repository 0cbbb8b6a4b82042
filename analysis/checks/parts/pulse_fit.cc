#include "analysis/checks/parts/pulse_fit.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/statistics/normal_equations.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kStretch = 60;      // s with a level of its own
constexpr std::size_t kFewest = 20;  // readings of a stretch
constexpr double kParts = 8;
// Gains of voltage and current, limits of 0.2 - 1 % and 0.5 - 2 % (from memory).
constexpr double kGainError = 0.01;
constexpr double kSudden = 2;  // s within which a change of current counts as a step
// Of the current's own sum of squares, by which the other terms are held near 0; less for charge.
constexpr double kHold = 1e-3, kChargeScale = 200;
// Beyond so many robust deviations, and this share of the voltage, a reading is no measurement.
constexpr double kFar = 6, kFarShare = 1e-4;
// Of what the current moved, that leaving readings out must leave.
constexpr double kKeepMoved = 0.7;
// One part alone says nothing of how parts differ: published cells gain 5 to 10 % from 0.1 to 2 s.
constexpr double kAlone = 0.06;

using Normal = NormalEquations<kLoadTerms>;

struct Reading {
  double at_s = 0, volt = 0;
  LoadTerms terms = {};
};

// Whether the current changes enough within it.
bool Moves(const std::vector<Reading>& readings, double least_a) {
  if (readings.size() < kFewest) return false;
  const auto [low, high] =
      std::minmax_element(readings.begin(), readings.end(),
                          [](const auto& a, const auto& b) { return a.terms[0] < b.terms[0]; });
  return high->terms[0] - low->terms[0] >= least_a;
}

Normal AboutTheMeans(const std::vector<Reading>& readings) {
  Reading mean;
  const auto count = static_cast<double>(readings.size());
  for (const Reading& one : readings) {
    mean.volt += one.volt / count;
    for (std::size_t k = 0; k < kLoadTerms; ++k) mean.terms[k] += one.terms[k] / count;
  }
  Normal sums;
  for (const Reading& one : readings) {
    LoadTerms off = one.terms;
    for (std::size_t k = 0; k < kLoadTerms; ++k) off[k] -= mean.terms[k];
    sums.Add(off, one.volt - mean.volt);
  }
  return sums;
}

// What a fit leaves of each reading, about its median.
std::vector<double> Residuals(const std::vector<Reading>& readings, const LoadTerms& slopes) {
  std::vector<double> left;
  for (const Reading& one : readings) {
    double volt = one.volt;
    for (std::size_t k = 0; k < kLoadTerms; ++k) volt -= slopes[k] * one.terms[k];
    left.push_back(volt);
  }
  const double middle = Median(left);
  for (double& one : left) one -= middle;
  return left;
}

std::vector<Reading> WithoutFarOnes(const LoadTerms& slopes, const std::vector<Reading>& readings) {
  const std::vector<double> left = Residuals(readings, slopes);
  const double far =
      kFar * std::max(RobustSpread(left, 0), kFarShare * std::fabs(readings.front().volt));
  std::vector<Reading> near;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (std::fabs(left[i]) <= far) near.push_back(readings[i]);
  }
  return near;
}

// Of every stretch that moves; readings far off `first`, an earlier fit, are left out.
std::vector<Normal> Stretches(const Track& voltage, const Track& current, double least_a,
                              const std::optional<LoadTerms>& first, Intervals& times) {
  times.clear();
  std::vector<Normal> stretches;
  LoadOverTime load(current);
  std::vector<Reading> readings;
  const auto finish = [&] {
    if (Moves(readings, least_a)) {
      Normal sums = AboutTheMeans(readings);
      if (first) {
        // Where the current changed but once, the readings beside the change must stay.
        const std::vector<Reading> near = WithoutFarOnes(*first, readings);
        const Normal trimmed = near.empty() ? Normal() : AboutTheMeans(near);
        if (trimmed.xx[0][0] >= kKeepMoved * sums.xx[0][0]) sums = trimmed;
      }
      stretches.push_back(sums);
      times.push_back({readings.front().at_s, readings.back().at_s});
    }
    readings.clear();
  };
  for (std::size_t i = 0; i < voltage.size(); ++i) {
    const double at = voltage.time_s[i];
    const auto terms = load.At(at);
    if (!terms) continue;
    if (!readings.empty() && at > readings.front().at_s + kStretch) finish();
    readings.push_back({at, voltage.value[i], *terms});
  }
  finish();
  return stretches;
}

// One step near the end of a stretch tells nothing of slow parts: what the terms hardly show is
// held near 0, the others by a thousandth. A volt for each ampere-hour is more than for an ampere.
std::optional<LoadTerms> SlopesOf(Normal sums) {
  for (std::size_t k = 1; k < kLoadTerms; ++k) {
    sums.xx[k][k] += sums.xx[0][0] * (k == kChargeTerm ? kHold / kChargeScale : kHold);
  }
  return sums.Solve();
}

Normal SumOf(const std::vector<Normal>& stretches) {
  Normal sum;
  for (const Normal& one : stretches) sum.Add(one, 1);
  return sum;
}

// Changes by `least_a` or more within two seconds, one after the other.
std::size_t StepsOf(const Track& current, double least_a) {
  std::size_t steps = 0, from = 0;
  for (std::size_t i = 0; i < current.size(); ++i) {
    if (std::isnan(current.value[i])) continue;
    while (current.time_s[i] - current.time_s[from] > kSudden) ++from;
    for (std::size_t j = from; j < i; ++j) {
      if (!(std::fabs(current.value[i] - current.value[j]) >= least_a)) continue;
      ++steps;
      from = i;
      break;
    }
  }
  return steps;
}

}  // namespace

PulseFit::PulseFit(const Track& voltage, const Track& current, double least_a)
    : steps_(StepsOf(current, least_a)) {
  const auto first = SlopesOf(SumOf(Stretches(voltage, current, least_a, std::nullopt, times_)));
  if (!first) return;
  const std::vector<Normal> stretches = Stretches(voltage, current, least_a, first, times_);
  const Normal sum = SumOf(stretches);
  const auto all = SlopesOf(sum);
  if (!all) return;
  all_ = *all;
  fitted_ = true;
  const auto count = static_cast<double>(stretches.size());
  const double parts = std::min(kParts, count);
  for (double part = 0; part < parts; ++part) {
    Normal rest = sum;
    const auto from = static_cast<std::size_t>(count * part / parts);
    const auto to = static_cast<std::size_t>(count * (part + 1) / parts);
    for (std::size_t i = from; i < to; ++i) rest.Add(stretches[i], -1);
    if (const auto slopes = SlopesOf(rest)) without_.push_back(*slopes);
  }
}

double PulseFit::OhmOf(const LoadTerms& slopes, double seconds) {
  double sum = 0;
  for (std::size_t k = 0; k < kLoadTerms; ++k) sum -= slopes[k] * ReachedAfter(k, seconds);
  return sum;
}

double PulseFit::Uncertainty(double seconds) const {
  const double all = Ohm(seconds);
  double sum = 0;
  for (const LoadTerms& one : without_) sum += std::pow(OhmOf(one, seconds) - all, 2);
  const auto count = static_cast<double>(without_.size());
  const double parts = count < 2 ? kAlone * std::fabs(all) : std::sqrt((count - 1) / count * sum);
  return std::hypot(parts, kGainError * all);
}

Track PulseFit::Heat(const Track& current) const {
  Track heat;
  LoadOverTime load(current);
  for (const double at : current.time_s) {
    const auto terms = load.At(at);
    if (!terms) continue;
    double drop = 0;
    for (std::size_t k = 0; k < kLoadTerms; ++k) {
      if (k != kChargeTerm) drop -= all_[k] * (*terms)[k];
    }
    heat.Add(at, drop * (*terms)[0]);
  }
  return heat;
}

double LeastStep(const CheckSettings& settings) {
  const double capacity = settings.Get("pack.capacity");
  return capacity > 0 && !settings.IsSet("resistance.step") ? 0.2 * capacity
                                                            : settings.Get("resistance.step");
}

PulseFit PackPulses(const CheckInput& input, const CheckSettings& settings) {
  return PulseFit(input.TrackOf("pack voltage"), input.TrackOf("pack current"),
                  LeastStep(settings));
}

}  // namespace proofdrive::analysis
