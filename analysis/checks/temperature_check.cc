#include "analysis/checks/temperature_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kQuietSeconds = 120;
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

void JudgeHotSpot(CheckDraft& draft, const std::vector<Sensor>& sensors) {
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
  if (excess < most || scores[hottest] < kOutlierZ) return;
  double neighbour = 0;
  if (hottest > 0) neighbour = std::max(neighbour, celsius[hottest - 1] - middle);
  if (hottest + 1 < celsius.size()) neighbour = std::max(neighbour, celsius[hottest + 1] - middle);
  const std::string where = "temperature sensor " + std::to_string(sensors[hottest].element + 1) +
                            " is " + Spoken(excess) + " K above the median";
  draft.Judge(CheckStatus::kLookCloser,
              neighbour > kNeighbourShare * excess
                  ? where + " and its neighbour is warmed: a hot spot"
                  : where + " and its neighbours are not: the sensor may be off");
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
  draft.Add("temperature_spread", spread, "K", "of the cells in the last minute",
            signal.step / 3.5);
  if (spread > draft.Limit("cooling.spread")) {
    draft.Judge(CheckStatus::kLookCloser, "cell temperatures differ by " + Spoken(spread) +
                                              " K at the end; judge again after steady flow, not "
                                              "during a fast charge");
  }
  JudgeHotSpot(draft, sensors);
}

// Parked and without current nothing may get warmer by itself.
void JudgeSelfHeating(CheckDraft& draft, const RoleSignal& signal) {
  const Track& current = draft.input().TrackOf("pack current");
  if (current.empty()) return;
  const double quiet = draft.Limit("rest.current");
  const Intervals resting = AtLeast(Where(current, CheckInput::Gap(current),
                                          [quiet](double amps) { return std::fabs(amps) < quiet; }),
                                    kQuietSeconds);
  if (resting.empty()) return;
  const Interval longest = *std::max_element(
      resting.begin(), resting.end(),
      [](const Interval& a, const Interval& b) { return a.length() < b.length(); });
  const std::vector<double> rises = RiseAgainstRest(signal.elements, longest);
  if (rises.empty()) return;
  const auto worst = std::max_element(rises.begin(), rises.end());
  draft.Add("self_heating", *worst, "K",
            "largest rise of one sensor against the others in " + SpokenSeconds(longest.length()) +
                " without current");
  if (*worst < std::max(draft.Limit("cooling.self_heating"), 1.5 * signal.step)) return;
  draft.Judge(CheckStatus::kOutside,
              "temperature sensor " + std::to_string(worst - rises.begin() + 1) + " rose by " +
                  Spoken(*worst) +
                  " K against the others without any current: keep away from the car, outdoors and "
                  "apart from anything that burns, and call the fire service if there is smoke, "
                  "smell or noise");
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
  JudgeSpread(draft, *signal);
  JudgeSelfHeating(draft, *signal);
}

}  // namespace proofdrive::analysis
