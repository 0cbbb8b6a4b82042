#include "analysis/checks/insulation_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/checking/plausibility.h"
#include "analysis/checks/parts/insulation_trend.h"
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
// Longer without current: the contactors may have opened, when their state is not sent.
constexpr double kPauseSeconds = 60;
// All the time the same in a digit this fine is no measurement; at a ceiling it is "at least".
constexpr double kFineStep = 0.01, kLeastCeilingKohm = 1000;
constexpr double kCeilingShare = 0.9;  // of the settled readings
constexpr std::size_t kFewestConstant = 60;
constexpr double kPlaceBelowKohm =
    2000;  // above it the background decides where a leak seems to be
constexpr double kSameRatio = 1.5;

struct WorkingVoltage {
  double volt = 0;
  std::string from;
};

double HighOf(const Track& track) { return Quantile(Thinned(track, 500).value, 0.95); }

// The cells listed may be a part of the pack, or those of several strings in parallel: how many are
// in series follows from the pack's voltage. Fewer are believed only for whole strings.
double CellsInSeries(const CheckInput& input, const RoleSignal& cells) {
  const auto listed = static_cast<double>(cells.elements.size());
  const Track& pack = input.TrackOf("pack voltage");
  std::vector<double> highs;
  for (const Track& cell : cells.elements) {
    if (!cell.empty()) highs.push_back(HighOf(cell));
  }
  const double cell_v = Median(highs);
  if (pack.empty() || cell_v <= 0) return listed;
  const double by_pack = HighOf(pack) / cell_v;
  const double strings = std::round(listed / by_pack);
  const bool whole = strings >= 2 && std::fabs(listed / by_pack / strings - 1) < 0.03;
  if (whole) return std::round(listed / strings);
  return by_pack > 1.03 * listed ? std::round(by_pack) : listed;
}

WorkingVoltage HighestVoltage(CheckDraft& draft) {
  const CheckSettings& settings = draft.settings();
  if (settings.Get("pack.working_voltage") > 0) {
    return {draft.Limit("pack.working_voltage"), "as stated"};
  }
  const RoleSignal* cells = draft.input().Find("cell voltages");
  double count = settings.Get("pack.cells");
  if (count == 0 && cells != nullptr) count = CellsInSeries(draft.input(), *cells);
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

// When high voltage may have been switched on or off.
std::vector<double> Switching(const CheckInput& input) {
  std::vector<double> times = Changes(input.TrackOf("contactor state"));
  if (!input.TrackOf("contactor state").empty()) return times;
  const Track& amps = input.TrackOf("pack current");
  const Intervals pauses =
      AtLeast(Where(amps, CheckInput::Gap(amps), [](double now) { return std::fabs(now) < 1; }),
              kPauseSeconds);
  for (const Interval& pause : pauses) {
    times.push_back(pause.from_s);
    times.push_back(pause.to_s);
  }
  return times;
}

// Without the time after the start and after anything switched.
Intervals SettledTime(CheckDraft& draft, const Track& kohm) {
  const double wait = draft.Limit("insulation.settle");
  std::vector<double> times = {kohm.time_s.front()};
  for (const auto& more :
       {Switching(draft.input()), Changes(draft.input().TrackOf("charge state"))}) {
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

// Only the pack's own part was measured when the contactors were never closed.
std::string SideMeasured(const CheckInput& input, const Track& settled) {
  const Track& state = input.TrackOf("contactor state");
  if (state.empty() ||
      !KeepIn(settled, input.WhereState("contactor state", {Meaning::kClosed})).empty())
    return "";
  return ", of the pack alone: the contactors were never closed, so the vehicle's side was not "
         "measured";
}

void JudgeLimit(CheckDraft& draft, double per_volt, double median_per_volt,
                const std::string& side) {
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
    draft.Judge(CheckStatus::kWithin, value + " is above " + Spoken(warn) + " ohm/V" + side);
  }
  draft.Add("resistance_per_volt", per_volt, "ohm/V", "10 % quantile of the settled readings");
  draft.Add("resistance_per_volt_median", median_per_volt, "ohm/V", "median of them");
}

// Exactly the same all the time, in a digit that would show noise, and no ceiling.
bool NeverChanges(const RoleSignal& signal) {
  const Track& track = signal.track();
  if (track.size() < kFewestConstant) return false;
  const double value = track.value.front();
  return value < kLeastCeilingKohm && signal.step <= kFineStep * value &&
         ShareAt(track, value, 0) == 1 &&
         (signal.range_high <= signal.range_low || value < signal.range_high - signal.step);
}

// The highest that the monitor ever says, most of the time, and high enough for a ceiling.
bool IsCeiling(const Track& settled, double kohm) {
  const double most = *std::max_element(settled.value.begin(), settled.value.end());
  return kohm == most && most >= kLeastCeilingKohm && ShareAt(settled, most, 1e-9) > kCeilingShare;
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
  const std::string where = "the voltages against the body put a single leak " +
                            Spoken(std::round(100 * place)) + " % of the way from the negative end";
  const char alike[] = "; healthy leakage pulls this to the middle";
  if (cells == nullptr) {
    draft.Remark(where + alike);
    return;
  }
  const double last = std::max(1.0, static_cast<double>(cells->elements.size()));
  const double near = std::clamp(std::round(place * last), 1.0, last);
  const auto cell = static_cast<std::size_t>(near);
  draft.RemarkOfCells(cell, cell, where + ", near cell " + std::to_string(cell) + alike);
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
  // The monitor's accuracy is a bound; half of it is taken as one standard deviation.
  const double accuracy = draft.settings().Get("insulation.accuracy") / 200 * low;
  if (IsCeiling(settled, low)) {
    draft.Add("resistance", low, "kohm", "the monitor's ceiling: it is this or more");
  } else {
    draft.Add("resistance", low, "kohm", "10 % quantile of the settled readings",
              std::hypot(spread, accuracy));
  }
  if (working.volt <= 0) {
    draft.Missing("the highest working voltage: set pack.working_voltage");
    JudgeWithoutVoltage(draft, low);
    return;
  }
  draft.Add("working_voltage", working.volt, "V", working.from);
  const double per_volt = 1000 * low / working.volt;
  if (NeverChanges(*draft.input().Find("isolation resistance"))) {
    const std::string constant = "it is exactly " + Spoken(low) + " kohm all the time";
    if (per_volt >= draft.Limit("insulation.warn")) {
      draft.Missing("readings that change: " + constant +
                    ", an old value rather than a measurement");
      return;
    }
    draft.Remark(constant + ": may be an old value, but one that was too low");
  }
  JudgeLimit(draft, per_volt, 1000 * middle / working.volt, SideMeasured(draft.input(), settled));
  if (per_volt >= draft.Limit("insulation.warn")) JudgeIntermittent(draft, settled, working.volt);
  if (IsCeiling(settled, low)) {
    draft.Remark("the monitor is at its ceiling of " + Spoken(low) + " kohm: at least that much");
  }
  JudgeTrend(draft, settled, settled_time);
  LocateLeak(draft, middle, settled_time);
  CompareSides(draft, settled);
}

}  // namespace proofdrive::analysis
