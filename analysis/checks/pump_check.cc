#include "analysis/checks/pump_check.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include "analysis/physics/coolant.h"
#include "analysis/statistics/neighbour_noise.h"
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
// at a lower speed than that of cooling.pump_index a full loop takes more than its share, at a
// higher one less.
constexpr double kOwnWatt = 4.5;
constexpr double kLeastExponent = 2.7;   // of power on speed (from memory; 3 by the affinity laws)
constexpr double kLeastHydraulic = 0.1;  // of a good session's power, that moves coolant (proposal)
// Where the speed of the good session is not known, it was one of these.
constexpr double kSlowSession = 2000, kFastSession = 6000;
// A law fitted to this recording is used when its speeds span as much, and stay as near.
constexpr double kLawSpan = 1.3, kLawReach = 1.5;
constexpr double kLawError = 0.05;
constexpr std::size_t kFewestForLaw = 3;
constexpr double kMostExponent = 3.3, kSmallExponent = 1.5;
constexpr double kSameSpeed = 0.15;
// Below this the coolant is thick (5.5 mPa s at 10 degC, 23 at -20 degC, against 3.3 at 25 degC;
// handbook values, looked up), and a full loop takes more power (proposal).
constexpr double kCold = 10, kThick = 1.3;

// By how much the current of a pump may be off at zero, A (proposal), and the power of the good
// session by its own reading.
constexpr double kZeroAmps = 0.05, kIndexError = 0.05;
// Robust spread of readings that change between two steps, in steps.
constexpr double kRounding = 1.4826;
constexpr double kNoiseAmps = 0.025;  // of its sensor, one standard deviation (proposal)
// s between readings up to which noise shows in neighbours: bubbles take a second and more to pass.
constexpr double kQuickReadings = 0.5;

// Of all stretches together, each counted by its length.
struct PumpSummary {
  double index = 0;
  double watt = 0;
  double rpm = 0;
  double variation = 0;
  double seconds = 0;
};

PumpSummary Summarize(const std::vector<PumpStretch>& stretches) {
  PumpSummary sum;
  for (const PumpStretch& stretch : stretches) {
    const double length = stretch.time.length();
    sum.index += length * stretch.index;
    sum.watt += length * stretch.watt;
    sum.rpm += length * stretch.rpm;
    sum.variation += length * stretch.variation;
    sum.seconds += length;
  }
  sum.index /= sum.seconds;
  sum.watt /= sum.seconds;
  sum.rpm /= sum.seconds;
  sum.variation /= sum.seconds;
  return sum;
}

// Power of the pump over that of a full loop: the least and the most it can be, as the law between
// two speeds is not known exactly.
struct PowerRatio {
  double low = 0, high = 0;
  // The most that a pump without coolant may take, of its power with a full loop.
  double dry = 1;
};

// What a full loop may take at `rpm`, as W at 1000 rpm, when it took `full` so at `reference_rpm`.
PowerRatio FullLoopAt(double full, double reference_rpm, double rpm) {
  const double own = std::min(kOwnWatt, (1 - kLeastHydraulic) * full / PumpIndex(1, reference_rpm));
  const double constant = full - PumpIndex(own, reference_rpm) + PumpIndex(own, rpm);
  const double power = full * std::pow(rpm / reference_rpm, kLeastExponent - 3);
  return {std::min({full, constant, power}), std::max({full, constant, power}), 1};
}

// Half of what moves coolant is gone, the pump's own power stays.
double DryShare(double own_w, double full_w) { return (1 + std::min(1.0, own_w / full_w)) / 2; }

// By a law through this recording's own speeds; nullopt when they do not span enough or are too far
// from that of the good session.
std::optional<PowerRatio> ByFittedLaw(const std::vector<PumpStretch>& stretches, double full,
                                      double reference_rpm) {
  std::vector<double> rpm, watt;
  for (const PumpStretch& stretch : stretches) {
    rpm.push_back(stretch.rpm);
    watt.push_back(stretch.watt);
  }
  if (rpm.size() < kFewestForLaw || reference_rpm <= 0) return std::nullopt;
  const auto [slow, fast] = std::minmax_element(rpm.begin(), rpm.end());
  if (*fast < kLawSpan * *slow || reference_rpm < *slow / kLawReach ||
      reference_rpm > *fast * kLawReach) {
    return std::nullopt;
  }
  const PumpLaw law = FitPumpLaw(rpm, watt);
  if (law.exponent < kSmallExponent || law.exponent > kMostExponent) return std::nullopt;
  const double by_power = PumpIndex(law.PowerAt(reference_rpm), reference_rpm) / full;
  // The same with the pump's own power apart, which counts beyond the speeds that were seen.
  std::vector<double> cubes;
  for (const double one : rpm) cubes.push_back(1 / PumpIndex(1, one));
  const Line line = LeastSquares(cubes, watt);
  const double own = std::clamp(line.intercept, 0.0, kOwnWatt);
  const double by_own = (line.slope + PumpIndex(own, reference_rpm)) / full;
  return PowerRatio{std::min(by_power, by_own) * (1 - kLawError),
                    std::max(by_power, by_own) * (1 + kLawError),
                    DryShare(own, full / PumpIndex(1, reference_rpm))};
}

PowerRatio RatioOf(const std::vector<PumpStretch>& stretches, double full, double reference_rpm) {
  // At the speed of the good session no law is needed.
  std::vector<PumpStretch> same;
  for (const PumpStretch& stretch : stretches) {
    if (std::fabs(stretch.rpm - reference_rpm) < kSameSpeed * reference_rpm) {
      same.push_back(stretch);
    }
  }
  if (same.empty()) {
    if (const auto fitted = ByFittedLaw(stretches, full, reference_rpm)) return *fitted;
    same = stretches;
  }
  const PumpSummary summary = Summarize(same);
  PowerRatio expected = {full, full, 0};
  const bool known = reference_rpm > 0;
  for (const double rpm :
       {known ? reference_rpm : kSlowSession, known ? reference_rpm : kFastSession}) {
    const PowerRatio one = FullLoopAt(full, rpm, summary.rpm);
    const double dry = DryShare(kOwnWatt, one.low / PumpIndex(1, summary.rpm));
    expected = {std::min(expected.low, one.low), std::max(expected.high, one.high),
                std::max(expected.dry, dry)};
  }
  return {summary.index / expected.high, summary.index / expected.low, expected.dry};
}

PowerRatio Widened(const PowerRatio& ratio, double share) {
  return {ratio.low * (1 - share), ratio.high * (1 + share), ratio.dry};
}

std::string ShareText(const PowerRatio& ratio) {
  const std::string low = Spoken(100 * ratio.low), high = Spoken(100 * ratio.high);
  return (low == high ? low : low + " to " + high) + " % of the power of a full loop";
}

bool ColdCoolant(const CheckInput& input) {
  const Track& inlet = input.TrackOf("coolant inlet temperature");
  return !inlet.empty() && Median(Thinned(inlet, 2000).value) < kCold;
}

// Only what holds for every law that is possible is said. Returns why good news of the power would
// be none: a dry pump could take as much.
std::string JudgePower(CheckDraft& draft, const PowerRatio& ratio, bool speed_known,
                       double percent) {
  const double fluctuates = draft.Limit("cooling.fluctuation");
  draft.Add("pump_power_ratio", (ratio.low + ratio.high) / 2, "",
            "power against cooling.pump_index, a full loop; as the law between speeds is not known "
            "exactly",
            (ratio.high - ratio.low) / 4);
  const std::string share = ShareText(ratio);
  const double weak = draft.Limit("cooling.weak");
  const double thick = ColdCoolant(draft.input()) ? kThick : 1;
  if (ratio.high < draft.Limit("cooling.dry")) {
    draft.Judge(CheckStatus::kOutside, "the pump takes " + share + ": dry, or locked by air");
  } else if (ratio.high < weak) {
    draft.Judge(CheckStatus::kLookCloser,
                percent > fluctuates
                    ? "the pump takes " + share + " and fluctuates: some air in the loop"
                    : "the pump takes " + share +
                          " and is steady: restricted flow (closed valve, kinked hose, blocked "
                          "plate) rather than air");
  } else if (ratio.low > draft.Limit("cooling.heavy") * thick) {
    draft.Judge(CheckStatus::kLookCloser,
                "the pump takes " + share + ": thick (cold) coolant, drag, or debris");
  } else if (!speed_known && ratio.low < weak) {
    draft.Missing("the speed at which cooling.pump_index was taken (cooling.pump_speed)");
    draft.Judge(CheckStatus::kCannotTell,
                "the pump takes " + share +
                    ": it depends on the speed at which cooling.pump_index was taken; set "
                    "cooling.pump_speed");
  } else if (ratio.low <= ratio.dry * thick) {
    return "the pump takes " + share + ", and a dry one could take " +
           Spoken(100 * ratio.dry * thick) + " %: most of its power may be its own" +
           (thick > 1 ? ", and cold coolant is thick" : "");
  } else {
    draft.Judge(CheckStatus::kWithin, "the pump takes " + share);
  }
  return "";
}

// `full_known`: a good session tells what a full loop takes or carries.
void JudgeFluctuation(CheckDraft& draft, double percent, bool full_known) {
  const double most = draft.Limit("cooling.fluctuation");
  draft.Add("pump_fluctuation", percent, "%",
            "robust variation of pump power at constant speed, rounding taken off");
  if (percent > most) {
    draft.Judge(CheckStatus::kLookCloser,
                "pump power fluctuates by " + Spoken(percent) +
                    " % at constant speed: air passes through, bleeding is not complete");
  } else {
    draft.Judge(CheckStatus::kWithin,
                "pump power is steady at constant speed (" +
                    (percent < 0.1 ? std::string("below 0.1") : Spoken(percent)) + " %)" +
                    (full_known ? ""
                                : ": no air passes; whether the loop is full and free is not "
                                  "judged without a good session's figures"));
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

// Of the power, as a share. Rounding of the speed moves the one that follows each reading of it, a
// speed that drifts a little the other one; air moves both.
double SteadySpread(const std::vector<double>& watts, const std::vector<double>& indices,
                    const PumpStretch& stretch) {
  return std::min(RobustSpread(indices, stretch.index) / stretch.index,
                  RobustSpread(watts, stretch.watt) / stretch.watt);
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
    const double spread = SteadySpread(watts, indices, stretch);
    const double volt = Median(supply_v.value);
    const double rounding = kRounding * current_step_a * volt / stretch.watt;
    const bool quick = std::max(Period(rpm), Period(amps)) <= kQuickReadings;
    const double noise = std::max({rounding, kNoiseAmps * volt / stretch.watt,
                                   quick ? NeighbourNoise(indices) / stretch.index : 0});
    stretch.variation = std::sqrt(std::max(0.0, spread * spread - noise * noise));
    stretches.push_back(stretch);
  }
  return stretches;
}

PumpJudged JudgePump(CheckDraft& draft) {
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
  draft.Add("pump_index", summary.index, "W",
            "pump power at 1000 rpm (affinity laws), taken at " + Spoken(summary.rpm) + " rpm");
  const double full = draft.settings().Get("cooling.pump_index");
  JudgeFluctuation(draft, 100 * summary.variation,
                   full > 0 || draft.settings().Get("cooling.flow_index") > 0);
  std::string unsure;
  if (full <= 0) {
    draft.Missing("the pump's power with a full loop (cooling.pump_index, from a good session)");
  } else {
    draft.Limit("cooling.pump_index");
    const double reference = draft.settings().Get("cooling.pump_speed");
    const double off = std::hypot(kIndexError, kZeroAmps * Median(supply.value) / summary.watt);
    unsure = JudgePower(draft, Widened(RatioOf(stretches, full, reference), off), reference > 0,
                        100 * summary.variation);
  }
  return {stretches, unsure};
}

}  // namespace proofdrive::analysis
