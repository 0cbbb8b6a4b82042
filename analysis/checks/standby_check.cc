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
constexpr double kStands = 1;   // km/h
constexpr double kLoaded = 5;   // s of current that is a use
constexpr double kRises = 0.5;  // % and a step: so much more charge did not settle, it was charged
constexpr double kSettles = 0.06;  // %, one standard deviation of what still settles (proposal)

// Whether anything tells that the car stands: a charge state alone does not.
bool StandingIsSeen(const CheckInput& input) {
  return input.Find("contactor state") != nullptr || !input.TrackOf("vehicle speed").empty() ||
         !input.TrackOf("pack current").empty();
}

Intervals Beyond(const Track& track, double most) {
  return Where(track, CheckInput::Gap(track),
               [most](double value) { return std::fabs(value) > most; });
}

// Nothing drives, charges or loads.
Intervals Pauses(const CheckInput& input, double rest_amps) {
  Intervals pauses =
      Outside(input.WhereState("contactor state", {Meaning::kClosed, Meaning::kPrecharging}),
              input.length_s);
  const Intervals charging = input.WhereState("charge state", {Meaning::kCharging});
  pauses = Both(pauses, Outside(charging, input.length_s));
  const Intervals moving = Beyond(input.TrackOf("vehicle speed"), kStands);
  pauses = Both(pauses, Outside(moving, input.length_s));
  if (input.Find("contactor state") != nullptr) return pauses;
  // A sensor that is off by some amperes would take every pause away; with a state it is not asked.
  const Intervals loaded = Beyond(input.TrackOf("pack current"), rest_amps);
  return Both(pauses, Outside(AtLeast(loaded, kLoaded), input.length_s));
}

double MedianIn(const Track& track, double from, double to) {
  return Median(Between(track, from, to).value);
}

// The loss in each pause that is long enough; `used`: what was taken of it.
std::vector<Pause> LossesOf(CheckDraft& draft, const Track& charge, double step, Intervals& used) {
  const double needed = draft.Limit("standby.hours");
  std::vector<Pause> pauses;
  Intervals rising;
  for (const Interval& pause : Pauses(draft.input(), draft.settings().Get("rest.current"))) {
    const double settle = std::min(kSettleShare * pause.length(), kMostSettle);
    const Interval settled = {pause.from_s + settle, pause.to_s};
    // Without the reading that ends it.
    const Track shown = Between(charge, settled.from_s, settled.to_s - 1e-9);
    // From the first to the last value that was sent: a network that sleeps wakes late.
    if (shown.empty()) continue;
    const double first = shown.time_s.front();
    const double last = shown.time_s.back();
    if (last - first < 3600 * needed) continue;
    const double from = MedianIn(shown, first, first + kEndSeconds);
    const double to = MedianIn(shown, last - kEndSeconds, last);
    if (to > from + step + kRises) {
      rising.push_back(settled);
      continue;
    }
    pauses.push_back({(last - first) / 3600, from - to});
    used.push_back({first, last});
  }
  draft.LeftOut("standing, but the charge rose: it was charged", rising);
  return pauses;
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
  if (!StandingIsSeen(draft.input())) {
    draft.Missing(
        "what tells that the car stands: a signal with role \"contactor state\", "
        "\"vehicle speed\" or \"pack current\"");
    return;
  }
  Intervals used;
  const std::vector<Pause> pauses = LossesOf(draft, charge, signal.step, used);
  if (pauses.empty()) {
    draft.Missing("the car standing for " + Spoken(draft.Limit("standby.hours")) +
                  " h within the recording, without driving or charging; or several sessions "
                  "(history)");
    return;
  }
  draft.Used("standing, without the first quarter", used);
  const double per_day = LossPerDay(pauses);
  const double error = LossUncertainty(pauses, signal.step, kSettles);
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
