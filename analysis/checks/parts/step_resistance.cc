#include "analysis/checks/parts/step_resistance.h"

#include <algorithm>
#include <cmath>

#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kBefore = 0.25;  // s before a sample in which the current must be quiet
constexpr double kQuietShare = 0.1;

// How much the current moved just before; large when it is not known.
double Movement(const Track& current, double at_s, double age) {
  const auto now = ValueAt(current, at_s, age);
  const auto then = ValueAt(current, at_s - kBefore, age);
  return now && then ? std::fabs(*now - *then) : 1e9;
}

// In order of time; those that overlap become one.
void AddTime(Intervals& times, const Interval& time) {
  if (!times.empty() && time.from_s <= times.back().to_s) {
    times.back().to_s = time.to_s;
  } else {
    times.push_back(time);
  }
}

void Summarize(StepPairs& pairs) {
  if (pairs.amps.empty()) return;
  std::vector<double> ratios;
  for (std::size_t i = 0; i < pairs.amps.size(); ++i) {
    ratios.push_back(-pairs.volts[i] / pairs.amps[i]);
  }
  pairs.ohm = -HuberThroughOrigin(pairs.amps, pairs.volts);
  pairs.uncertainty =
      RobustSpread(ratios, Median(ratios)) / std::sqrt(static_cast<double>(ratios.size()));
}

}  // namespace

StepPairs PairsOf(const Track& voltage, const Track& current, double lag_s, double least_a) {
  StepPairs pairs;
  pairs.lag_s = lag_s;
  const double age = CheckInput::Gap(current) + kBefore;
  std::size_t later = 0;
  double free_from = -1e9;
  for (std::size_t i = 0; i < voltage.size(); ++i) {
    const double at = voltage.time_s[i];
    if (at < free_from) continue;
    while (later < voltage.size() && voltage.time_s[later] < at + lag_s) ++later;
    if (later == voltage.size()) break;
    if (voltage.time_s[later] > at + 1.6 * lag_s) continue;
    const auto before = ValueAt(current, at, age);
    const auto after = ValueAt(current, voltage.time_s[later], age);
    if (!before || !after) continue;
    const double change = *after - *before;
    if (std::fabs(change) < least_a) continue;
    const double quiet = kQuietShare * std::fabs(change);
    if (Movement(current, at, age) > quiet ||
        Movement(current, voltage.time_s[later], age) > quiet) {
      continue;
    }
    pairs.amps.push_back(change);
    pairs.volts.push_back(voltage.value[later] - voltage.value[i]);
    AddTime(pairs.times, {at, voltage.time_s[later]});
    free_from = at + lag_s / 2;
  }
  Summarize(pairs);
  return pairs;
}

double LeastStep(const CheckSettings& settings) {
  const double capacity = settings.Get("pack.capacity");
  return capacity > 0 && !settings.IsSet("resistance.step") ? 0.2 * capacity
                                                            : settings.Get("resistance.step");
}

StepPairs PackSteps(const CheckInput& input, const CheckSettings& settings, double lag_s) {
  return PairsOf(input.TrackOf("pack voltage"), input.TrackOf("pack current"), lag_s,
                 LeastStep(settings));
}

}  // namespace proofdrive::analysis
