#include "analysis/checks/parts/step_resistance.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kBefore = 0.25;  // s before a sample over which the current's movement counts
// Of the change: by how much the movements at both ends may differ.
constexpr double kSameShare = 0.15;
// A change that takes a part of the lag shows less than a sudden one: published cells gain 5 to 10
// % from 0.1 to 2 s, so 0 to 10 % are missing, 6 % as a standard deviation about what is read.
// Gains of voltage and current (0.2 - 1 % and 0.5 - 2 %, from memory) add little to that.
constexpr double kUnseenShare = 0.06;
constexpr std::size_t kParts = 6;

// Change of the current just before; NaN when it is not known.
double Movement(const Track& current, double at_s, double age) {
  const auto now = ValueAt(current, at_s, age);
  const auto then = ValueAt(current, at_s - kBefore, age);
  return now && then ? *now - *then : std::numeric_limits<double>::quiet_NaN();
}

// In order of time; those that overlap become one.
void AddTime(Intervals& times, const Interval& time) {
  if (!times.empty() && time.from_s <= times.back().to_s) {
    times.back().to_s = time.to_s;
  } else {
    times.push_back(time);
  }
}

// Parts of equal numbers of pairs, in order of time: temperature and charge differ between them, so
// that single pairs are not independent.
double SpreadOfParts(const StepPairs& pairs) {
  const std::size_t count = pairs.amps.size();
  const std::size_t parts = std::min(kParts, count / 3);
  std::vector<double> slopes;
  for (std::size_t i = 0; i < parts; ++i) {
    const std::size_t from = count * i / parts, to = count * (i + 1) / parts;
    slopes.push_back(-HuberThroughOrigin(std::span(pairs.amps).subspan(from, to - from),
                                         std::span(pairs.volts).subspan(from, to - from)));
  }
  if (parts > 1) return StandardDeviation(slopes) / std::sqrt(static_cast<double>(parts));
  std::vector<double> ratios;
  for (std::size_t i = 0; i < count; ++i) ratios.push_back(-pairs.volts[i] / pairs.amps[i]);
  return RobustSpread(ratios, Median(ratios)) / std::sqrt(static_cast<double>(count));
}

void Summarize(StepPairs& pairs) {
  if (pairs.amps.empty()) return;
  pairs.ohm = -HuberThroughOrigin(pairs.amps, pairs.volts);
  pairs.uncertainty = std::hypot(SpreadOfParts(pairs), kUnseenShare * pairs.ohm);
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
    if (!(std::fabs(change) >= least_a)) continue;
    const double unlike =
        Movement(current, at, age) - Movement(current, voltage.time_s[later], age);
    if (!(std::fabs(unlike) <= kSameShare * std::fabs(change))) continue;
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
