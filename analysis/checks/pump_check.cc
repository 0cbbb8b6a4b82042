#include "analysis/checks/pump_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/physics/coolant.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kTurningRpm = 300;
constexpr double kSteadyShare = 0.03;
constexpr double kSpinUpSeconds = 3;
constexpr double kLeastSeconds = 5;
constexpr double kStandsSeconds = 10;  // told to run and below kTurningRpm
constexpr std::size_t kFewestSamples = 20;
constexpr double kMostAge = 3;  // s, of the supply voltage
// Electronics and bearings take 2 to 4 W at any speed (from memory), which the cube does not know:
// at a lower speed than that of cooling.pump_index a full loop takes more than its share.
constexpr double kOwnWatt = 4.5;

// Of all stretches together, each counted by its length.
struct PumpSummary {
  double index = 0;
  double own = 0;  // what the pump's own power can add to the index, W
  double variation = 0;
  double seconds = 0;
};

PumpSummary Summarize(const std::vector<PumpStretch>& stretches) {
  PumpSummary sum;
  for (const PumpStretch& stretch : stretches) {
    const double length = stretch.time.length();
    sum.index += length * stretch.index;
    sum.own += length * PumpIndex(kOwnWatt, stretch.rpm);
    sum.variation += length * stretch.variation;
    sum.seconds += length;
  }
  sum.index /= sum.seconds;
  sum.own /= sum.seconds;
  sum.variation /= sum.seconds;
  return sum;
}

// `own`: what the pump's own power can add to the ratio at lower speeds.
void JudgePower(CheckDraft& draft, double ratio, double own, double percent) {
  const double fluctuates = draft.Limit("cooling.fluctuation");
  draft.Add("pump_power_ratio", ratio, "", "power against cooling.pump_index, a full loop");
  const std::string share = Spoken(100 * ratio) + " % of the power of a full loop";
  if (ratio < draft.Limit("cooling.dry")) {
    draft.Judge(CheckStatus::kOutside, "the pump takes " + share + ": dry, or locked by air");
  } else if (ratio < draft.Limit("cooling.weak")) {
    draft.Judge(CheckStatus::kLookCloser,
                percent > fluctuates
                    ? "the pump takes " + share + " and fluctuates: some air in the loop"
                    : "the pump takes " + share +
                          " and is steady: restricted flow (closed valve, kinked hose, blocked "
                          "plate) rather than air");
  } else if (ratio > draft.Limit("cooling.heavy") + own) {
    draft.Judge(CheckStatus::kLookCloser,
                "the pump takes " + share + ": thick (cold) coolant, drag, or debris");
  } else {
    draft.Judge(CheckStatus::kWithin, "the pump takes " + share);
  }
}

void JudgeFluctuation(CheckDraft& draft, double percent) {
  const double most = draft.Limit("cooling.fluctuation");
  draft.Add("pump_fluctuation", percent, "%",
            "robust variation of pump power at constant speed, rounding taken off");
  if (percent > most) {
    draft.Judge(CheckStatus::kLookCloser,
                "pump power fluctuates by " + Spoken(percent) +
                    " % at constant speed: air passes through, bleeding is not complete");
  } else {
    draft.Judge(CheckStatus::kWithin,
                "pump power is steady at constant speed (" + Spoken(percent) + " %)");
  }
}

// What the pump says of itself, against its speed.
void JudgeState(CheckDraft& draft) {
  const CheckInput& input = draft.input();
  const RoleSignal* state = input.Find("coolant pump");
  if (state == nullptr || state->states.empty()) return;
  const double fault = TotalLength(input.WhereState("coolant pump", {Meaning::kFault}));
  if (fault >= kLeastSeconds) {
    draft.Judge(CheckStatus::kLookCloser,
                "the pump reported a fault for " + SpokenSeconds(fault) +
                    ": it ran dry, or its supply or wiring; judge the 12 V supply first");
  }
  const Track& states = state->track();
  const Intervals told = Where(states, CheckInput::Gap(states),
                               [&](double value) { return state->IsState(value, {Meaning::kOn}); });
  const Track& rpm = input.TrackOf("coolant pump speed");
  const Intervals stands = AtLeast(
      Both(told,
           Where(rpm, CheckInput::Gap(rpm), [](double speed) { return speed < kTurningRpm; })),
      kStandsSeconds);
  if (stands.empty()) return;
  draft.Judge(CheckStatus::kLookCloser,
              "the pump stood for " + SpokenSeconds(TotalLength(stands)) +
                  " although its state says that it runs: wiring, its supply, or a blocked rotor");
}

}  // namespace

std::vector<PumpStretch> PumpStretches(const Track& rpm, const Track& amps, const Track& supply_v,
                                       double current_step_a) {
  std::vector<PumpStretch> stretches;
  const auto band = [](double mean) { return std::max(kSteadyShare * mean, 5.0); };
  for (const Interval& interval : Steady(rpm, kSpinUpSeconds + kLeastSeconds, band)) {
    PumpStretch stretch;
    stretch.time = {interval.from_s + kSpinUpSeconds, interval.to_s};
    std::vector<double> watts;
    std::vector<double> indices;
    const Track turning = Between(rpm, stretch.time.from_s, stretch.time.to_s);
    stretch.rpm = Median(turning.value);
    if (stretch.rpm < kTurningRpm) continue;
    for (std::size_t i = 0; i < turning.size(); ++i) {
      const auto a = ValueAt(amps, turning.time_s[i], kMostAge);
      const auto v = ValueAt(supply_v, turning.time_s[i], kMostAge);
      if (!a || !v) continue;
      watts.push_back(*a * *v);
      indices.push_back(PumpIndex(*a * *v, turning.value[i]));
    }
    if (watts.size() < kFewestSamples) continue;
    stretch.watt = Median(watts);
    stretch.index = Median(indices);
    if (stretch.watt <= 0) continue;
    const double spread = RobustSpread(indices, stretch.index) / stretch.index;
    const double volt = Median(supply_v.value);
    const double rounding = current_step_a * volt / std::sqrt(12.0) / stretch.watt;
    stretch.variation = std::sqrt(std::max(0.0, spread * spread - rounding * rounding));
    stretches.push_back(stretch);
  }
  return stretches;
}

std::vector<PumpStretch> JudgePump(CheckDraft& draft) {
  const CheckInput& input = draft.input();
  JudgeState(draft);
  const RoleSignal* amps = input.Find("coolant pump current");
  const Track& supply = input.TrackOf("supply voltage");
  const Track& rpm = input.TrackOf("coolant pump speed");
  if (amps == nullptr || supply.empty() || rpm.empty()) {
    draft.Missing("pump speed, pump current and supply voltage, to tell air by the pump's power");
    return {};
  }
  const auto stretches = PumpStretches(rpm, amps->track(), supply, amps->step);
  if (stretches.empty()) {
    draft.Missing("the pump turning at a steady speed for 10 s");
    return {};
  }
  Intervals used;
  for (const PumpStretch& stretch : stretches) used.push_back(stretch.time);
  draft.Used("pump at a steady speed", used);
  const PumpSummary summary = Summarize(stretches);
  draft.Add("pump_index", summary.index, "W", "pump power at 1000 rpm (affinity laws)");
  JudgeFluctuation(draft, 100 * summary.variation);
  const double full = draft.settings().Get("cooling.pump_index");
  if (full <= 0) {
    draft.Missing("the pump's power with a full loop (cooling.pump_index, from a good session)");
  } else {
    draft.Limit("cooling.pump_index");
    JudgePower(draft, summary.index / full, summary.own / full, 100 * summary.variation);
  }
  return stretches;
}

}  // namespace proofdrive::analysis
