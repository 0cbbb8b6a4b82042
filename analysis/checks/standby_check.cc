#include "analysis/checks/standby_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kSettleShare = 0.25;  // of a pause, left out: the value settles after parking
constexpr double kMostSettle = 3600;   // s
constexpr double kEndSeconds = 10;

// Nothing drives, charges or loads.
Intervals Pauses(const CheckInput& input) {
  const Intervals up =
      input.WhereState("contactor state", {Meaning::kClosed, Meaning::kPrecharging});
  const Intervals charging = input.WhereState("charge state", {Meaning::kCharging});
  return Both(Outside(up, input.length_s), Outside(charging, input.length_s));
}

double MedianIn(const Track& track, double from, double to) {
  return Median(Between(track, from, to).value);
}

}  // namespace

std::optional<Pause> PauseBetween(const CheckResult& first, const CheckResult& second,
                                  double hours) {
  const Figure* from = first.FindFigure("charge_at_end");
  const Figure* to = second.FindFigure("charge_at_start");
  const Figure* km_from = first.FindFigure("odometer_at_end");
  const Figure* km_to = second.FindFigure("odometer_at_start");
  const bool moved = km_from != nullptr && km_to != nullptr && km_to->value - km_from->value > 1;
  if (moved) return std::nullopt;
  if (from == nullptr || to == nullptr || hours <= 0 || to->value > from->value) {
    return std::nullopt;
  }
  return Pause{hours, from->value - to->value};
}

void CheckStandby(CheckDraft& draft) {
  draft.Alike("a state of charge that settles after parking: a drop right then is no loss");
  draft.Alike("cold: a falling temperature lowers the charge that is shown");
  draft.Alike("a recorder that keeps the units awake measures itself");
  const RoleSignal& signal = *draft.input().Find("state of charge");
  const Track& charge = signal.track();
  draft.Add("charge_at_start",
            MedianIn(charge, charge.time_s.front(), charge.time_s.front() + kEndSeconds), "%",
            "as shown");
  draft.Add("charge_at_end",
            MedianIn(charge, charge.time_s.back() - kEndSeconds, charge.time_s.back()), "%",
            "as shown");
  draft.Add("charge_step", signal.step, "%", "resolution of the charge shown");
  const Track& odometer = draft.input().TrackOf("odometer");
  if (!odometer.empty()) {
    draft.Add("odometer_at_start", odometer.value.front(), "km", "as sent");
    draft.Add("odometer_at_end", odometer.value.back(), "km", "as sent");
  }
  const double needed = draft.Limit("standby.hours");
  std::vector<Pause> pauses;
  Intervals used;
  for (const Interval& pause : Pauses(draft.input())) {
    const double settle = std::min(kSettleShare * pause.length(), kMostSettle);
    const Interval settled = {pause.from_s + settle, pause.to_s};
    if (settled.length() < 3600 * needed || Between(charge, settled.from_s, settled.to_s).empty()) {
      continue;
    }
    const double from = MedianIn(charge, settled.from_s, settled.from_s + kEndSeconds);
    const double to = MedianIn(charge, settled.to_s - kEndSeconds, settled.to_s);
    pauses.push_back({settled.length() / 3600, from - to});
    used.push_back(settled);
  }
  if (pauses.empty()) {
    draft.Missing("the car standing for " + Spoken(needed) +
                  " h within the recording, without driving or charging; or several sessions "
                  "(history)");
    return;
  }
  draft.Used("standing, without the first quarter", used);
  const double per_day = LossPerDay(pauses);
  const double error = LossUncertainty(pauses, signal.step);
  draft.Add("standby_loss", per_day, "%/day", "sum of losses over sum of hours", error);
  const double usable = draft.settings().Get("pack.usable_energy");
  if (usable > 0) draft.Add("standby_power", LossWatt(per_day, usable), "W", "mean");
  const double look = draft.Limit("standby.look");
  const std::string text =
      "standing takes " + Spoken(per_day) + " +- " + Spoken(error) + " % a day";
  if (per_day - 2 * error > look) {
    draft.Judge(CheckStatus::kLookCloser, text);
  } else if (per_day + 2 * error < look) {
    draft.Judge(CheckStatus::kWithin, text);
  } else {
    draft.Missing("a longer pause: " + text + ", on both sides of " + Spoken(look) + " % a day");
  }
}

}  // namespace proofdrive::analysis
