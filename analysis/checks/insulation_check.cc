#include "analysis/checks/insulation_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/checking/plausibility.h"
#include "analysis/physics/insulation.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"
#include "analysis/statistics/trend.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kLowShare = 0.10;   // the verdict goes by the low end of the readings
constexpr std::size_t kFewest = 10;  // settled readings
// So many settled readings that agree are no disturbance.
constexpr std::size_t kFewestToAccuse = 3;
// The least direct voltage that counts as high (UN R100, ISO 6469-3: above 60 V; from memory): what
// is too little for it is too little for every pack.
constexpr double kLeastHighVoltage = 60;
constexpr std::size_t kTrendBins = 12;
constexpr double kTrendChance = 0.01;
constexpr double kDropShare = 0.5;  // of the median: an intermittent drop
constexpr double kPlaceBelowKohm =
    2000;  // above it the background decides where a leak seems to be
constexpr double kSameRatio = 1.5;

struct WorkingVoltage {
  double volt = 0;
  std::string from;
};

WorkingVoltage HighestVoltage(CheckDraft& draft) {
  const CheckSettings& settings = draft.settings();
  if (settings.Get("pack.working_voltage") > 0) {
    return {draft.Limit("pack.working_voltage"), "as stated"};
  }
  const RoleSignal* cells = draft.input().Find("cell voltages");
  double count = settings.Get("pack.cells");
  if (count == 0 && cells != nullptr) count = static_cast<double>(cells->elements.size());
  if (count > 0) {
    const double most = draft.Limit("pack.cell_most");
    return {count * most, std::to_string(std::lround(count)) + " cells x " + Spoken(most) + " V"};
  }
  const Track& pack = draft.input().TrackOf("pack voltage");
  if (pack.empty()) return {};
  draft.Missing(
      "the highest working voltage (pack.working_voltage or pack.cells); the highest "
      "voltage seen was used instead, which reads better than it is");
  return {*std::max_element(pack.value.begin(), pack.value.end()), "highest voltage seen"};
}

// Without the time after the start and after anything switched.
Intervals SettledTime(CheckDraft& draft, const Track& kohm) {
  const double wait = draft.Limit("insulation.settle");
  std::vector<double> times = {kohm.time_s.front()};
  for (const decoders::RoleName role :
       {decoders::RoleName("contactor state"), decoders::RoleName("charge state")}) {
    const auto more = Changes(draft.input().TrackOf(role));
    times.insert(times.end(), more.begin(), more.end());
  }
  std::sort(times.begin(), times.end());
  Intervals unsettled;
  for (const double at : times) {
    if (!unsettled.empty() && at <= unsettled.back().to_s) {
      unsettled.back().to_s = at + wait;
    } else {
      unsettled.push_back({at, at + wait});
    }
  }
  draft.LeftOut("settling after the start, a contactor or the charger switched", unsettled);
  return Outside(unsettled, draft.input().length_s + 1);
}

void JudgeLimit(CheckDraft& draft, double per_volt, double median_per_volt) {
  const double fault = draft.Limit("insulation.fault");
  const double warn = draft.Limit("insulation.warn");
  const double band = draft.Limit("insulation.accuracy") / 100;
  const std::string value = Spoken(per_volt) + " ohm/V";
  if (per_volt < fault) {
    draft.Judge(CheckStatus::kOutside,
                value + " is below " + Spoken(fault) + " ohm/V, the least UN R100 allows at all");
  } else if (per_volt < warn) {
    draft.Judge(CheckStatus::kLookCloser,
                value + " is below " + Spoken(warn) + " ohm/V; UN R100 allows down to " +
                    Spoken(fault) +
                    " ohm/V only where the alternating-current parts are doubly insulated");
  } else if (per_volt < warn * (1 + band)) {
    draft.Judge(CheckStatus::kLookCloser,
                value + " is closer to " + Spoken(warn) + " ohm/V than the monitor can be trusted");
  } else {
    draft.Judge(CheckStatus::kWithin, value + " is above " + Spoken(warn) + " ohm/V");
  }
  draft.Add("resistance_per_volt", per_volt, "ohm/V", "10 % quantile of the settled readings");
  draft.Add("resistance_per_volt_median", median_per_volt, "ohm/V", "median of them");
}

void JudgeTrend(CheckDraft& draft, const Track& settled) {
  const auto trend = TrendOf(settled, kTrendBins);
  if (!trend) {
    draft.Missing("settled readings over a longer time, to see a trend");
    return;
  }
  draft.Add("trend_in_session", trend->percent, "%",
            "Theil-Sen on log10 of medians; Mann-Kendall p " + Spoken(trend->p));
  if (trend->p > kTrendChance || std::fabs(trend->percent) < draft.Limit("insulation.trend"))
    return;
  const std::string change = Spoken(std::fabs(trend->percent)) + " % within " +
                             SpokenSeconds(settled.time_s.back() - settled.time_s.front());
  if (trend->percent < 0) {
    draft.Judge(CheckStatus::kLookCloser, "resistance fell by " + change +
                                              ": getting wetter or "
                                              "warming up");
  } else {
    draft.Remark("resistance rose by " + change + ": drying, or warming after a damp start");
  }
}

void LocateLeak(CheckDraft& draft, double median_kohm, const Intervals& settled) {
  const Track positive = KeepIn(draft.input().TrackOf("positive voltage to body"), settled);
  const Track negative = KeepIn(draft.input().TrackOf("negative voltage to body"), settled);
  if (positive.empty() || negative.empty()) {
    draft.Missing("both voltages against the body, to say where along the string a leak sits");
    return;
  }
  const double place = LeakPlace(Median(negative.value), Median(positive.value));
  if (place < 0) return;
  draft.Add("leak_place", place, "", "0 = negative end of the string, 1 = positive end");
  if (median_kohm > kPlaceBelowKohm) return;
  const RoleSignal* cells = draft.input().Find("cell voltages");
  std::string where = Spoken(100 * place) + " % of the way from the negative end";
  if (cells != nullptr) {
    where += ", near cell " +
             std::to_string(std::lround(place * static_cast<double>(cells->elements.size())));
  }
  draft.Remark("the voltages against the body put a single leak " + where +
               "; healthy leakage pulls this to the middle");
}

// Inside the pack, or on the vehicle's side?
void CompareSides(CheckDraft& draft, const Track& settled) {
  const Intervals closed = draft.input().WhereState("contactor state", {Meaning::kClosed});
  const Track with = KeepIn(settled, closed);
  const Track without = KeepIn(settled, Outside(closed, draft.input().length_s + 1));
  if (with.size() < kFewest) {
    draft.Missing(
        "settled readings with the contactors closed: the vehicle's side was not measured");
  }
  if (with.size() < kFewest || without.size() < kFewest) return;
  const double ratio = Median(without.value) / Median(with.value);
  draft.Add("open_against_closed", ratio, "", "resistance with contactors open over closed");
  if (ratio > kSameRatio) {
    draft.Remark(
        "resistance is lower with the contactors closed: the leak is on the vehicle's side");
  }
}

// With the limits when the working voltage is known.
void DrawCurve(CheckDraft& draft, const Track& kohm, double working_v) {
  const Track thin = Thinned(kohm, 600);
  Curve curve{"insulation over time", "time", "s", "resistance", "kohm", thin.time_s, thin.value};
  for (const char* limit : {"insulation.fault", "insulation.warn"}) {
    if (working_v <= 0) break;
    const double per_volt = draft.settings().Get(limit);
    curve.levels.push_back({per_volt * working_v / 1000, Spoken(per_volt) + " ohm/V"});
  }
  draft.Add(std::move(curve));
}

// Too few settled readings to say that all is well; they may still say that it is not. What leaks
// badly settles fast: the time constant is the resistance times the capacity of the lines to the
// body (40 kohm x 2 uF = 80 ms).
void JudgeFew(CheckDraft& draft, const std::vector<double>& settled, const std::vector<double>& all,
              double working_v) {
  const double volt = std::max(working_v, kLeastHighVoltage);
  const double fault = draft.Limit("insulation.fault");
  const double warn = draft.Limit("insulation.warn");
  const bool any_settled = !settled.empty();
  const std::vector<double>& readings = any_settled ? settled : all;
  if (readings.empty()) return;
  const double most = *std::max_element(readings.begin(), readings.end());
  const double most_per_volt = 1000 * most / volt;
  const double least_per_volt = 1000 * *std::min_element(readings.begin(), readings.end()) / volt;
  const std::string which = any_settled ? CountOf(settled.size(), "settled reading") + ", "
                                        : CountOf(all.size(), "reading") + " before they settled, ";
  if (settled.size() >= kFewestToAccuse && most_per_volt < fault) {
    draft.Judge(CheckStatus::kOutside, which + "none above " + Spoken(most_per_volt) +
                                           " ohm/V: below " + Spoken(fault) +
                                           " ohm/V, the least UN R100 allows at all");
  } else if (any_settled ? least_per_volt < warn : most_per_volt < warn) {
    draft.Judge(CheckStatus::kLookCloser,
                which + "as low as " + Spoken(least_per_volt) + " ohm/V, below " + Spoken(warn) +
                    " ohm/V: too few to be certain, too low to pass over");
  }
}

// Without a working voltage only what is too little for any high voltage can be judged.
void JudgeWithoutVoltage(CheckDraft& draft, double low_kohm) {
  const double fault = draft.Limit("insulation.fault");
  const double warn = draft.Limit("insulation.warn");
  const double per_volt = 1000 * low_kohm / kLeastHighVoltage;
  const std::string value = Spoken(low_kohm) + " kohm is too little for any high voltage: below ";
  const std::string at = " ohm/V at " + Spoken(kLeastHighVoltage) + " V already";
  if (per_volt < fault) {
    draft.Judge(CheckStatus::kOutside, value + Spoken(fault) + at);
  } else if (per_volt < warn) {
    draft.Judge(CheckStatus::kLookCloser, value + Spoken(warn) + at);
  }
}

void NameLookAlikes(CheckDraft& draft) {
  draft.Alike(
      "a monitor that is switched off or at its ceiling, for example while a charger tests");
  draft.Alike(
      "one that reports the worse side and not the whole: up to twice the truth for a leak in "
      "the middle");
  draft.Alike("a pack that only is warm and dry now: residues of coolant conduct when damp again");
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

void CheckInsulation(CheckDraft& draft) {
  const Track& kohm = draft.input().TrackOf("isolation resistance");
  const WorkingVoltage working = HighestVoltage(draft);
  DrawCurve(draft, kohm, working.volt);
  NameLookAlikes(draft);
  const Intervals settled_time = SettledTime(draft, kohm);
  const Track settled = KeepIn(kohm, settled_time);
  if (settled.size() < kFewest) {
    draft.Missing(std::to_string(kFewest) + " settled readings (there are " +
                  std::to_string(settled.size()) + "); record longer without switching anything");
    JudgeFew(draft, settled.value, kohm.value, working.volt);
    return;
  }
  draft.Used("settled readings",
             Both(settled_time, {{settled.time_s.front(), settled.time_s.back()}}));
  const double low = Quantile(settled.value, kLowShare);
  const double middle = Median(settled.value);
  const double spread = RobustSpread(settled.value, middle);
  draft.Add("resistance", low, "kohm", "10 % quantile of the settled readings", spread);
  if (working.volt <= 0) {
    draft.Missing("the highest working voltage: set pack.working_voltage");
    JudgeWithoutVoltage(draft, low);
    return;
  }
  draft.Add("working_voltage", working.volt, "V", working.from);
  JudgeLimit(draft, 1000 * low / working.volt, 1000 * middle / working.volt);
  const double least = *std::min_element(settled.value.begin(), settled.value.end());
  if (least < kDropShare * middle) {
    draft.Judge(CheckStatus::kLookCloser,
                "single readings drop to " + Spoken(least) + " kohm while the median is " +
                    Spoken(middle) + " kohm: an intermittent leak, or a disturbed reading");
  }
  const double most = *std::max_element(settled.value.begin(), settled.value.end());
  if (ShareAt(settled, most, 1e-9) > 0.9) {
    draft.Remark("the monitor is at its ceiling of " + Spoken(most) + " kohm: at least that much");
  }
  JudgeTrend(draft, settled);
  LocateLeak(draft, middle, settled_time);
  CompareSides(draft, settled);
}

}  // namespace proofdrive::analysis
