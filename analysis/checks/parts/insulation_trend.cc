#include "analysis/checks/parts/insulation_trend.h"

#include <algorithm>
#include <cmath>

#include "analysis/physics/insulation.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"
#include "analysis/statistics/trend.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr std::size_t kFewest = 10;  // settled readings
constexpr std::size_t kTrendBins = 12;
constexpr double kTrendChance = 0.01;
constexpr double kDropShare = 0.5;  // of the results before and after: an intermittent drop
constexpr std::size_t kAround = 7;  // results before and after a drop that it is held against
// One drop may be a self-test of the monitor after closing; where the closing is known it is left
// out.
constexpr std::size_t kDropsKnown = 2, kDropsUnknown = 3;
constexpr std::size_t kRunsBelow = 3;  // of readings below a limit, or one that lasts
constexpr double kLastingSeconds = 30;
// Capacity of the lines to the body: 2 uF store 0.2 J at 450 V (ISO 6469-4 option; computed).
constexpr double kBodyFarad = 2e-6;
// Insulation halves per 10 K of warming at the quickest (from memory: coolant and potting); what
// the temperature may have done when it is not known, and what its sensors may be off.
constexpr double kKelvinToHalve = 10, kUnknownKelvin = 5, kKelvinError = 1;

// By how much the pack got warmer over this time, from the means of its first and last fifth, which
// are four fifths of it apart.
std::optional<double> Warming(const CheckInput& input, const Interval& time) {
  const RoleSignal* sensors = input.Find("cell temperatures");
  if (sensors == nullptr) return std::nullopt;
  const double part = time.length() / 5;
  std::vector<double> changes;
  for (const Track& sensor : sensors->elements) {
    const Track first = Between(sensor, time.from_s, time.from_s + part);
    const Track last = Between(sensor, time.to_s - part, time.to_s);
    if (!first.empty() && !last.empty()) changes.push_back(Mean(last.value) - Mean(first.value));
  }
  if (changes.empty()) return std::nullopt;
  return Median(changes) / 0.8;
}

// What is left of the resistance when it only gets warmer.
double ShareLeftByWarming(const std::optional<double>& kelvin) {
  const double warmer = kelvin ? std::max(0.0, *kelvin) + kKelvinError : kUnknownKelvin;
  return std::exp2(-warmer / kKelvinToHalve);
}

void JudgeTrendIn(CheckDraft& draft, const Track& readings, const Interval& time,
                  const std::string& when) {
  const auto trend = TrendOf(readings, kTrendBins);
  if (!trend) return;
  const double limit = draft.Limit("insulation.trend");
  if (trend->p > kTrendChance || std::fabs(trend->percent) < limit) return;
  const std::string change =
      Spoken(std::fabs(trend->percent)) + " % within " + SpokenSeconds(time.length()) + when;
  if (trend->percent > 0) {
    draft.Remark("resistance rose by " + change +
                 ": drying, cooling, or warming after a damp start");
    return;
  }
  const auto kelvin = Warming(draft.input(), time);
  const double left = 1 + trend->percent / 100;
  const std::string by =
      kelvin ? "warming by " + Spoken(std::max(0.0, std::round(*kelvin))) + " K"
             : "warming by " + Spoken(kUnknownKelvin) + " K (cell temperatures are not known)";
  if (left < ShareLeftByWarming(kelvin) * (1 - limit / 100)) {
    draft.Judge(CheckStatus::kLookCloser,
                "resistance fell by " + change + ", more than " + by + " explains: getting wetter");
  } else {
    draft.Remark("resistance fell by " + change + ", which " + by + " explains");
  }
}

// Each result of the monitor once, however often it is sent.
Track Results(const Track& readings) {
  Track results;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (i == 0 || readings.value[i] != readings.value[i - 1]) {
      results.Add(readings.time_s[i], readings.value[i]);
    }
  }
  return results;
}

// Runs of results below half of those before and of those after.
std::size_t Drops(const Track& results) {
  const auto& v = results.value;
  std::size_t count = 0;
  bool was_low = false;
  for (std::size_t i = 1; i + 1 < v.size(); ++i) {
    const auto at = v.begin() + static_cast<std::ptrdiff_t>(i);
    const auto before = std::min(i, kAround);
    const auto after = std::min(v.size() - 1 - i, kAround);
    const double lower = std::min(Median({at - static_cast<std::ptrdiff_t>(before), at}),
                                  Median({at + 1, at + 1 + static_cast<std::ptrdiff_t>(after)}));
    const bool is_low = *at < kDropShare * lower;
    if (is_low && !was_low) ++count;
    was_low = is_low;
  }
  return count;
}

// With the contactors closed the vehicle's side is measured, too: lower, and no drop. So each
// stretch without switching is looked at by itself.
std::size_t DropsByCircuit(const CheckInput& input, const Track& settled) {
  const Intervals closed = input.WhereState("contactor state", {Meaning::kClosed});
  std::size_t drops = 0;
  for (const Intervals& times : {closed, Outside(closed, input.length_s + 1)}) {
    for (const Interval& one : times) {
      drops += Drops(Results(Between(settled, one.from_s, one.to_s)));
    }
  }
  return drops;
}

}  // namespace

std::optional<ResistanceTrend> TrendOf(const Track& kohm, std::size_t bins) {
  const Track medians = BinMedians(kohm, bins);
  if (medians.size() < 5) return std::nullopt;
  std::vector<double> logs;
  for (const double value : medians.value) logs.push_back(std::log10(std::max(value, 1e-6)));
  const RobustLine line = TheilSen(medians.time_s, logs);
  ResistanceTrend trend;
  trend.per_second = line.slope;
  trend.low = line.slope_low;
  trend.high = line.slope_high;
  trend.p = MannKendall(logs).p;
  const double span = kohm.time_s.back() - kohm.time_s.front();
  trend.percent = 100 * (std::pow(10, line.slope * span) - 1);
  return trend;
}

void JudgeTrend(CheckDraft& draft, const Track& settled, const Intervals& settled_time) {
  const double settle = draft.Limit("insulation.settle");
  const double lines = 5 * SettlingSeconds(1000 * Median(settled.value), kBodyFarad);
  const Intervals quiet = WithoutHead(settled_time, std::max(0.0, lines - settle));
  const Intervals closed = draft.input().WhereState("contactor state", {Meaning::kClosed});
  const Intervals open = Outside(closed, draft.input().length_s + 1);
  bool any = false;
  for (const bool is_closed : {true, false}) {
    const Intervals times = Both(quiet, is_closed ? closed : open);
    if (times.empty()) continue;
    Interval longest = *std::max_element(
        times.begin(), times.end(),
        [](const Interval& a, const Interval& b) { return a.length() < b.length(); });
    longest.to_s = std::min(longest.to_s, draft.input().length_s);
    const Track part = Between(settled, longest.from_s, longest.to_s);
    if (part.size() < kFewest) continue;
    any = true;
    if (const auto trend = TrendOf(part, kTrendBins)) {
      draft.Add(is_closed ? "trend_closed" : "trend_in_session", trend->percent, "%",
                "Theil-Sen on log10 of medians; Mann-Kendall p " + Spoken(trend->p));
    }
    JudgeTrendIn(draft, part, longest, is_closed ? " with the contactors closed" : "");
  }
  if (!any) draft.Missing("settled readings over a longer time, to see a trend");
}

void JudgeIntermittent(CheckDraft& draft, const Track& settled, double working_v) {
  const double warn = draft.Limit("insulation.warn");
  const double warn_kohm = warn * working_v / 1000;
  const Intervals below = Where(settled, CheckInput::Gap(settled),
                                [warn_kohm](double kohm) { return kohm < warn_kohm; });
  const double least = *std::min_element(settled.value.begin(), settled.value.end());
  const bool lasts = !AtLeast(below, kLastingSeconds).empty();
  if (lasts || below.size() >= kRunsBelow) {
    draft.Judge(CheckStatus::kLookCloser,
                "at times it is as low as " + Spoken(1000 * least / working_v) + " ohm/V, below " +
                    Spoken(warn) + " ohm/V (for " + SpokenSeconds(TotalLength(below)) + " in " +
                    CountOf(below.size(), "run") + "): an intermittent leak");
  }
  const std::size_t drops = DropsByCircuit(draft.input(), settled);
  if (drops == 0) return;
  const std::string text = "single readings drop to " + Spoken(least) +
                           " kohm while the median is " + Spoken(Median(settled.value)) +
                           " kohm (" + CountOf(drops, "time") + ")";
  const bool known = !draft.input().TrackOf("contactor state").empty();
  if (drops >= (known ? kDropsKnown : kDropsUnknown)) {
    draft.Judge(CheckStatus::kLookCloser, text + ": an intermittent leak, or a disturbed reading");
  } else {
    draft.Remark(text + ": a disturbed reading, or the monitor tested itself");
  }
}

}  // namespace proofdrive::analysis
