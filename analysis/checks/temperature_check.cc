#include "analysis/checks/temperature_check.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/checking/rest.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

constexpr double kQuietSeconds = 120;
// A parked network sleeps; no current flows that it would not send (proposal).
constexpr double kMostSilence = 7200;
// After current the cores are warmer than what the sensors see: they even out for a while, and by
// 2 K in a cell (thermal articles, looked up) when that while cannot be left out.
constexpr double kEvenOut = 900, kCoreKelvin = 2;
// By how much of the pack's own cooling one place may lag behind (proposal: a time constant 15 %
// longer makes 5.5 % of the whole difference at most).
constexpr double kLagShare = 0.055;
constexpr double kAbove = 1;  // K above all that surrounds it: two sensors of 0.5 K
// K/min: 400 kJ/K that lose 10 W/K change by 0.075 K/min at 50 K against the air (computed).
constexpr double kTooFast = 0.1;
// The air at its sensor is not that around the pack, and both sensors are off (proposal).
constexpr double kAboveAir = 3;
constexpr double kHottestAir = 50;  // degC around a parked car (proposal)
constexpr std::size_t kFewestWarm = 5;
constexpr double kFarAbove = 5;           // K: contactors open at 60 to 70 degC (from memory)
constexpr double kLeastRise = 2;          // K, of the pack as a whole
constexpr double kNeighbourShare = 0.15;  // of the excess that a neighbour feels when it is heat

struct Sensor {
  std::size_t element = 0;
  double celsius = 0;
};

std::vector<Sensor> Medians(const RoleSignal& signal, const Interval& time) {
  std::vector<Sensor> sensors;
  for (std::size_t i = 0; i < signal.elements.size(); ++i) {
    const Track part = Between(signal.elements[i], time.from_s, time.to_s);
    if (!part.empty()) sensors.push_back({i, Mean(part.value)});
  }
  return sensors;
}

// Whether one place stands out.
bool JudgeHotSpot(CheckDraft& draft, const std::vector<Sensor>& sensors) {
  std::vector<double> celsius;
  for (const Sensor& sensor : sensors) celsius.push_back(sensor.celsius);
  const double middle = Median(celsius);
  const std::vector<double> scores = ModifiedZ(celsius);
  const double most = draft.Limit("cooling.hot");
  const auto hottest =
      static_cast<std::size_t>(std::max_element(celsius.begin(), celsius.end()) - celsius.begin());
  const double excess = celsius[hottest] - middle;
  draft.Add("hottest_sensor", static_cast<double>(sensors[hottest].element + 1), "",
            Spoken(excess) + " K above the median");
  if (excess < most || scores[hottest] < kOutlierZ) return false;
  double neighbour = 0;
  if (hottest > 0) neighbour = std::max(neighbour, celsius[hottest - 1] - middle);
  if (hottest + 1 < celsius.size()) neighbour = std::max(neighbour, celsius[hottest + 1] - middle);
  const std::string where = "temperature sensor " + std::to_string(sensors[hottest].element + 1) +
                            " is " + Spoken(excess) + " K above the median";
  draft.Judge(CheckStatus::kLookCloser,
              neighbour > kNeighbourShare * excess
                  ? where + " and its neighbour is warmed: a hot spot"
                  : where + " and its neighbours are not: the sensor may be off");
  return true;
}

void JudgeSpread(CheckDraft& draft, const RoleSignal& signal) {
  const double end = draft.input().length_s;
  const auto sensors = Medians(signal, {std::max(0.0, end - 60), end});
  if (sensors.size() < 3) {
    draft.Missing("three cell temperatures or more, to see a hot spot");
    return;
  }
  const auto [low, high] =
      std::minmax_element(sensors.begin(), sensors.end(),
                          [](const Sensor& a, const Sensor& b) { return a.celsius < b.celsius; });
  const double spread = high->celsius - low->celsius;
  draft.Add(
      "temperature_spread", spread, "K",
      "highest less lowest sensor in the last minute; what they are off by is not known: on an "
      "even pack sensors of 0.5 K (trade figure) are up to 1 K apart");
  if (spread > draft.Limit("cooling.spread")) {
    draft.Judge(CheckStatus::kLookCloser, "cell temperatures differ by " + Spoken(spread) +
                                              " K at the end; judge again after steady flow, not "
                                              "during a fast charge");
  }
  const bool stands_out = JudgeHotSpot(draft, sensors);
  if (stands_out || spread > draft.Limit("cooling.spread")) return;
  draft.Judge(CheckStatus::kWithin,
              "cell temperatures differ by " + Spoken(spread) + " K at the end, none stands out");
}

// First and last fifth of a rest, of every sensor that was received in both.
struct RestingPack {
  Interval time;
  std::vector<std::size_t> number;  // from 1
  std::vector<double> first, last;
  double core_k = 0;              // what evening out may still add
  std::optional<double> warmest;  // air, or coolant that enters; nullopt: the air is not known
};

std::optional<double> MostIn(const CheckInput& input, decoders::RoleName role,
                             const Interval& time) {
  const Track part = Between(input.TrackOf(role), time.from_s, time.to_s);
  if (part.empty()) return std::nullopt;
  return Quantile(part.value, 0.95);
}

std::optional<RestingPack> Rest(const CheckDraft& draft, const RoleSignal& signal, double quiet) {
  const CheckInput& input = draft.input();
  const Intervals resting =
      AtLeast(QuietTime(input.TrackOf("pack current"), kMostSilence, quiet), kQuietSeconds);
  if (resting.empty()) return std::nullopt;
  RestingPack pack;
  pack.time = *std::max_element(
      resting.begin(), resting.end(),
      [](const Interval& a, const Interval& b) { return a.length() < b.length(); });
  if (pack.time.from_s > 1) {
    const double head = std::min(kEvenOut, pack.time.length() / 3);
    if (head < kEvenOut) pack.core_k = kCoreKelvin;
    pack.time.from_s += head;
  }
  const double part = pack.time.length() / 5;
  for (std::size_t i = 0; i < signal.elements.size(); ++i) {
    const Track first = Between(signal.elements[i], pack.time.from_s, pack.time.from_s + part);
    const Track last = Between(signal.elements[i], pack.time.to_s - part, pack.time.to_s);
    if (first.empty() || last.empty()) continue;
    pack.number.push_back(i + 1);
    pack.first.push_back(Mean(first.value));
    pack.last.push_back(Mean(last.value));
  }
  if (pack.number.empty()) return std::nullopt;
  const auto air = MostIn(input, "ambient temperature", pack.time);
  const auto coolant = MostIn(input, "coolant inlet temperature", pack.time);
  // Coolant that stands says nothing of the air around.
  if (air) pack.warmest = std::max(*air, coolant.value_or(-300));
  return pack;
}

constexpr char kKeepAway[] =
    ": keep away from the car, outdoors and apart from anything that burns, and call the fire "
    "service if there is smoke, smell or noise";

// One place against the others. What evens out loses its excess; what lags behind a pack that cools
// keeps some of it; neither can make a place warmer than it was above the others by more.
void JudgeOnePlace(CheckDraft& draft, const RestingPack& pack, double least) {
  const double middle_first = Median(pack.first);
  const double middle_last = Median(pack.last);
  const double allowed = least + pack.core_k + kLagShare * std::fabs(middle_last - middle_first);
  double worst = -1e9;
  std::size_t place = 0;
  for (std::size_t i = 0; i < pack.number.size(); ++i) {
    const double grown = pack.last[i] - middle_last - std::max(0.0, pack.first[i] - middle_first);
    if (grown > worst) worst = grown, place = i;
  }
  draft.Add("self_heating", worst, "K",
            "largest growth of one sensor's excess over the others in " +
                SpokenSeconds(pack.time.length()) + " without current");
  if (worst < allowed) return;
  const std::string text = "temperature sensor " + std::to_string(pack.number[place]) +
                           " rose by " + Spoken(worst) +
                           " K against the others without any current";
  const bool gets_warmer = pack.last[place] > pack.first[place] + least;
  if (pack.warmest && gets_warmer && pack.last[place] < *pack.warmest + kAbove) {
    draft.Remark(text + ": towards air or coolant of " + Spoken(*pack.warmest) + " degC");
  } else if (!pack.warmest && gets_warmer && middle_last > middle_first + least) {
    draft.Judge(CheckStatus::kLookCloser,
                text +
                    ", while all get warmer: from outside (the air temperature is not known)"
                    ", or by itself; look again soon");
  } else {
    draft.Judge(CheckStatus::kOutside, text + kKeepAway);
  }
}

// Heat flows from warm to cold: without current nothing gets warmer than the warmest place was or
// what surrounds it is. Holds for a single cell as for the pack as a whole.
void JudgeWholePack(CheckDraft& draft, const RestingPack& pack, double least) {
  const double rise = std::max(kLeastRise, 2 * least) + pack.core_k;
  const double warmest_place = *std::max_element(pack.first.begin(), pack.first.end());
  std::size_t count = 0;
  double most = 0;
  for (std::size_t i = 0; i < pack.number.size(); ++i) {
    const double risen = pack.last[i] - pack.first[i];
    if (risen < rise || pack.last[i] < warmest_place + kAbove) continue;
    if (pack.warmest && pack.last[i] < *pack.warmest + kAboveAir) continue;
    ++count;
    most = std::max(most, risen);
  }
  if (count == 0) return;
  const double per_minute = 60 * most / (0.8 * pack.time.length());
  const std::string text = std::to_string(count) + " of " +
                           CountOf(pack.number.size(), "temperature sensor") +
                           " got warmer by up to " + Spoken(most) + " K (" + Spoken(per_minute) +
                           " K/min) without any current";
  const double hottest = *std::max_element(pack.last.begin(), pack.last.end());
  if (!pack.warmest && hottest > kHottestAir + kAbove) {
    draft.Judge(CheckStatus::kOutside,
                text + ", to " + Spoken(hottest) + " degC, above any air" + kKeepAway);
  } else if (pack.warmest) {
    draft.Judge(CheckStatus::kOutside, text + ", above the air and the coolant that enters (" +
                                           Spoken(*pack.warmest) + " degC at most)" + kKeepAway);
  } else if (per_minute > kTooFast) {
    draft.Judge(CheckStatus::kLookCloser,
                text + ", and the air temperature is not known: if nothing warm surrounds the car" +
                    kKeepAway);
  } else {
    draft.Remark(text + "; the air temperature is not known, so it may be from outside");
  }
}

// Parked and without current nothing may get warmer by itself.
void JudgeSelfHeating(CheckDraft& draft, const RoleSignal& signal) {
  if (draft.input().TrackOf("pack current").empty()) {
    draft.Missing("pack current, to see cells that heat themselves at rest");
    return;
  }
  const auto pack = Rest(draft, signal, draft.Limit("rest.current"));
  if (!pack) return;
  const double least = std::max(draft.Limit("cooling.self_heating"), 1.5 * signal.step);
  draft.Used("self-heating", {pack->time});
  if (pack->number.size() >= 3) JudgeOnePlace(draft, *pack, least);
  JudgeWholePack(draft, *pack, least);
}

// Data sheets and service practice: nothing is gained by a pack this warm.
void JudgeHottest(CheckDraft& draft, const RoleSignal& signal) {
  double most = -300;
  for (const Track& track : signal.elements) {
    if (track.size() >= kFewestWarm)
      most = std::max(most, Quantile(Thinned(track, 2000).value, 0.995));
  }
  if (most < -200) return;
  const double hot = draft.Limit("cooling.hottest");
  draft.Add("hottest_cell", most, "degC", "of any sensor, the highest 0.5 % left out");
  if (most < hot) return;
  draft.Judge(most > hot + kFarAbove ? CheckStatus::kOutside : CheckStatus::kLookCloser,
              "cells reached " + Spoken(most) +
                  " degC; packs reduce power from 45 to 50 and stop at "
                  "55 to 60 degC");
}

}  // namespace

std::vector<double> RiseAgainstRest(const std::vector<Track>& sensors, const Interval& time) {
  std::vector<double> changes;
  const double part = time.length() / 5;
  bool any = false;
  for (const Track& sensor : sensors) {
    const Track first = Between(sensor, time.from_s, time.from_s + part);
    const Track last = Between(sensor, time.to_s - part, time.to_s);
    const bool known = !first.empty() && !last.empty();
    any |= known;
    changes.push_back(known ? Mean(last.value) - Mean(first.value) : 0);
  }
  if (!any) return {};
  const double middle = Median(changes);
  for (double& change : changes) change -= middle;
  return changes;
}

void JudgeTemperatures(CheckDraft& draft) {
  const RoleSignal* signal = draft.input().Find("cell temperatures");
  if (signal == nullptr) {
    draft.Missing("cell temperatures, to see a hot spot");
    return;
  }
  if (draft.input().part != CheckInput::Part::kStretch) JudgeSpread(draft, *signal);
  JudgeHottest(draft, *signal);
  JudgeSelfHeating(draft, *signal);
}

}  // namespace proofdrive::analysis
