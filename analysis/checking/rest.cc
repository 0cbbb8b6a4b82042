#include "analysis/checking/rest.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kFromTheStart = 1;  // s
constexpr double kAsleep = 7200;     // s of silence that do not end a rest: parked networks sleep

constexpr double kCold = 20, kFreezing = 0;  // degC
constexpr double kStands = 1;                // km/h
// Without a current: at a tenth of the capacity an hour a cell moves by 1 mV or more in a minute,
// but on a plateau (proposals).
constexpr double kStillShare = 0.001, kStillSteps = 2, kStillSeconds = 300;

// Stretches in which no value leaves the first one of the stretch by more than `most`.
Intervals StillTime(const Track& track, double most) {
  Intervals still;
  const double gap = std::max(kAsleep, CheckInput::Gap(track));
  std::size_t first = 0;
  for (std::size_t i = 1; i <= track.size(); ++i) {
    const bool on = i < track.size() && track.time_s[i] - track.time_s[i - 1] <= gap &&
                    std::fabs(track.value[i] - track.value[first]) <= most;
    if (on) continue;
    if (i > first) still.push_back({track.time_s[first], track.time_s[i - 1]});
    first = i;
  }
  return AtLeast(still, kStillSeconds);
}

void Still(const Track& track, double step, Intervals& resting) {
  if (track.empty()) return;
  const double most = std::max(kStillShare * std::fabs(Median(track.value)), kStillSteps * step);
  resting = Both(resting, StillTime(track, most));
}

// By the voltages alone.
Intervals StillVoltages(const CheckInput& input) {
  Intervals resting = {{0, input.length_s}};
  if (const RoleSignal* pack = input.Find("pack voltage")) {
    Still(pack->track(), pack->step, resting);
  }
  const RoleSignal* cells = input.Find("cell voltages");
  if (cells == nullptr) return input.Find("pack voltage") == nullptr ? Intervals{} : resting;
  const std::size_t count = cells->elements.size();
  for (const std::size_t cell : {std::size_t{0}, count / 2, count - 1}) {
    Still(cells->elements[cell], cells->step, resting);
  }
  return resting;
}

Intervals WithoutCurrent(const CheckInput& input) {
  Intervals resting = input.Find("contactor state") != nullptr
                          ? input.WhereState("contactor state", {Meaning::kOpen})
                          : StillVoltages(input);
  const Track& speed = input.TrackOf("vehicle speed");
  const Intervals moving =
      Where(speed, CheckInput::Gap(speed), [](double kmh) { return std::fabs(kmh) > kStands; });
  const Intervals charging = input.WhereState("charge state", {Meaning::kCharging});
  resting = Both(resting, Outside(moving, input.length_s));
  return Both(resting, Outside(charging, input.length_s));
}

}  // namespace

Intervals QuietTime(const Track& current, double gap_s, double most) {
  Intervals quiet;
  bool on = false;
  for (std::size_t i = 0; i < current.size(); ++i) {
    const double at = current.time_s[i];
    const bool is_quiet = std::fabs(current.value[i]) < most;
    if (is_quiet && on && at - quiet.back().to_s <= gap_s) {
      quiet.back().to_s = at;
    } else if (is_quiet) {
      quiet.push_back({at, at});
    }
    on = is_quiet;
  }
  return quiet;
}

Intervals RestingTime(const CheckInput& input, const CheckSettings& settings) {
  const Track& current = input.TrackOf("pack current");
  if (current.empty()) return WithoutCurrent(input);
  return QuietTime(current, std::max(kAsleep, CheckInput::Gap(current)),
                   settings.Get("rest.current"));
}

double RestedSeconds(const Interval& interval, const CheckSettings& settings) {
  const double before = interval.from_s <= kFromTheStart ? 3600 * settings.Get("rest.before") : 0;
  return interval.length() + before;
}

double NeededRestSeconds(const CheckInput& input, double hours, const Interval& rest) {
  const RoleSignal* sensors = input.Find("cell temperatures");
  if (sensors == nullptr) return 3600 * hours;
  std::vector<double> celsius;
  for (const Track& track : sensors->elements) {
    const Track part = Between(track, rest.from_s, rest.to_s);
    if (!part.empty()) celsius.push_back(Median(Thinned(part, 500).value));
  }
  if (celsius.empty()) return 3600 * hours;
  const double middle = Median(celsius);
  return 3600 * hours * (middle < kFreezing ? 6 : middle < kCold ? 3 : 1);
}

std::vector<double> RestedCells(const CheckInput& input, const Interval& interval, double tail_s) {
  std::vector<double> volts;
  const RoleSignal* cells = input.Find("cell voltages");
  if (cells == nullptr) return volts;
  const Interval tail = {std::max(interval.from_s, interval.to_s - tail_s), interval.to_s};
  const Intervals bleeding = input.WhereState("balancing", {Meaning::kOn});
  const Intervals quiet = Both({tail}, Outside(bleeding, input.length_s + 1));
  for (const Track& cell : cells->elements) {
    Track part = KeepIn(cell, quiet);
    if (part.empty()) part = KeepIn(cell, {tail});
    volts.push_back(part.empty() ? std::numeric_limits<double>::quiet_NaN() : Median(part.value));
  }
  return volts;
}

}  // namespace proofdrive::analysis
