#include "analysis/checks/cooling_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/checks/parts/pulse_fit.h"
#include "analysis/checks/pump_check.h"
#include "analysis/checks/temperature_check.h"
#include "analysis/physics/coolant.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kBalanceSeconds = 120;  // one window of the heat balance
// K, of the coolant, or the flow is not steady; more when the heat stored can be taken off.
constexpr double kMostDriftPerMinute = 0.5;
constexpr double kMostDriftKnown = 3;
constexpr double kSensorKelvin = 0.5;
constexpr double kLeastHeat = 200;  // W
// The fit sees branches up to some 150 s in part, and nothing slower: published cells have branches
// of 24 s and of 137 to 153 s, the size of the last one not told. Three tenths more, uncertain by
// as much (proposals).
constexpr double kSlowHeat = 1.3, kSlowHeatError = 0.3;
constexpr double kCapacityError = 0.1;                // of pack.heat_capacity
constexpr double kUnknownStored = 300e3;              // J/K that a pack may have
constexpr double kUnknownDrift = 0.2 / 60;            // K/s, without cell temperatures
constexpr double kLossPerKelvin = 6, kLossError = 3;  // W/K from the pack to the air (proposal)
constexpr double kUnknownExcess = 10;                 // K above the air, when it is not known
constexpr double kSure = 2;                           // standard deviations
// kJ/(kg K) 0.8 - 1.145 (looked up) x 5 - 7 kg per kWh (150 - 200 Wh/kg, from memory), so 4 to 8.
constexpr double kHeatPerKwh = 5.9, kHeatPerKwhError = 0.2;
constexpr std::size_t kFewestLow = 3;  // readings of the level
constexpr double kLowSeconds = 60;
constexpr double kSlowStep = 20;  // s
constexpr double kDelayStep = 1;  // s
constexpr int kMostDelay = 240;
constexpr double kDelayCertain = 0.6;
constexpr double kLeastCooling = 300;  // s of cooling down
constexpr double kLeastExcess = 4;     // K of the cells above the inlet
constexpr double kMostLeft = 0.7;      // of it at the end

// One window in which heat made and heat carried can be compared.
struct Balance {
  Interval time;
  double made_w = 0;    // by the resistance
  double stored_w = 0;  // taken up by the pack; 0 when its heat capacity is not known
  double stored_error_w = 0;
  double lost_w = 0;  // to the air
  double lost_error_w = 0;
  double carried() const { return made_w - stored_w - lost_w; }
  double rise_k = 0;  // outlet less inlet
  double inlet_c = 0;
  double rpm = 0;
};

double SlopePerSecond(const Track& track) { return LeastSquares(track.time_s, track.value).slope; }

// Mean of all cell sensors in this time.
Track CellMean(const CheckInput& input, const Interval& time) {
  const RoleSignal* cells = input.Find("cell temperatures");
  Track mean;
  if (cells == nullptr) return mean;
  for (double at = time.from_s; at <= time.to_s; at += 5) {
    std::vector<double> values;
    for (const Track& track : cells->elements) {
      if (const auto value = ValueAt(track, at, CheckInput::Gap(track))) values.push_back(*value);
    }
    if (!values.empty()) mean.Add(at, Mean(values));
  }
  return mean;
}

// Of the pack, J/K, with its relative error; 0 when nothing tells.
struct HeatCapacity {
  double joule_per_k = 0;
  double error = 0;
};

HeatCapacity HeatCapacityOf(const CheckInput& input, const CheckSettings& settings) {
  const double stated = settings.Get("pack.heat_capacity");
  if (stated > 0) return {1000 * stated, kCapacityError};
  const Track& volts = input.TrackOf("pack voltage");
  double kwh = settings.Get("pack.usable_energy");
  if (kwh <= 0 && !volts.empty()) {
    kwh = settings.Get("pack.capacity") * Median(Thinned(volts, 2000).value) / 1000;
  }
  return {1000 * kHeatPerKwh * kwh, kHeatPerKwhError};
}

// What the pack takes up and what it loses to the air.
void AddStored(const CheckInput& input, const HeatCapacity& capacity, Balance& balance) {
  const Track cells = CellMean(input, balance.time);
  const double per_second = cells.size() < 3 ? 0 : SlopePerSecond(cells);
  balance.stored_w = capacity.joule_per_k * per_second;
  balance.stored_error_w =
      cells.size() < 3
          ? kUnknownStored * kUnknownDrift
          : std::fabs(per_second) *
                (capacity.joule_per_k > 0 ? capacity.error * capacity.joule_per_k : kUnknownStored);
  const Track air =
      Between(input.TrackOf("ambient temperature"), balance.time.from_s, balance.time.to_s);
  const double excess = air.empty() || cells.empty() ? 0 : Mean(cells.value) - Mean(air.value);
  balance.lost_w = kLossPerKelvin * excess;
  balance.lost_error_w = kLossError * (air.empty() ? kUnknownExcess : std::fabs(excess));
}

std::vector<Balance> Balances(CheckDraft& draft, const std::vector<PumpStretch>& stretches,
                              const PulseFit& pulses) {
  const CheckInput& input = draft.input();
  const HeatCapacity capacity = HeatCapacityOf(input, draft.settings());
  const Track heat = pulses.Heat(input.TrackOf("pack current"));
  std::vector<Balance> balances;
  for (const PumpStretch& stretch : stretches) {
    for (double from = stretch.time.from_s; from + kBalanceSeconds <= stretch.time.to_s;
         from += kBalanceSeconds) {
      Balance balance;
      balance.time = {from, from + kBalanceSeconds};
      const auto [a, b] = balance.time;
      const Track inlet = Between(input.TrackOf("coolant inlet temperature"), a, b);
      const Track outlet = Between(input.TrackOf("coolant outlet temperature"), a, b);
      const Track made = Between(heat, a, b);
      if (inlet.size() < 10 || outlet.size() < 10 || made.empty()) continue;
      const double drift = capacity.joule_per_k > 0 ? kMostDriftKnown : kMostDriftPerMinute;
      if (60 * std::fabs(SlopePerSecond(outlet)) > drift) continue;
      balance.made_w = kSlowHeat * std::max(0.0, Mean(made.value));
      AddStored(input, capacity, balance);
      balance.rise_k = Mean(outlet.value) - Mean(inlet.value);
      balance.inlet_c = Mean(inlet.value);
      balance.rpm = stretch.rpm;
      balances.push_back(balance);
    }
  }
  return balances;
}

// Rise of the coolant against heat, and what a full loop would show.
void DrawBalance(CheckDraft& draft, std::vector<Balance> balances) {
  if (balances.empty()) return;
  const auto carried = [](const Balance& one) { return one.carried(); };
  std::sort(balances.begin(), balances.end(),
            [&](const Balance& a, const Balance& b) { return carried(a) < carried(b); });
  Curve curve{"cooling heat balance", "heat carried off", "W", "outlet less inlet", "K", {}, {}};
  curve.shape = CurveShape::kPoints;
  const double index = draft.settings().Get("cooling.flow_index");
  for (const Balance& one : balances) {
    curve.x.push_back(carried(one));
    curve.y.push_back(one.rise_k);
    if (index <= 0) continue;
    const double full_l_min = index * one.rpm / 1000;
    curve.expected.push_back(carried(one) / HeatPerKelvin(full_l_min, one.inlet_c));
  }
  if (index > 0) curve.expected_name = "full loop";
  draft.Add(std::move(curve));
}

// Whether the flow is good.
bool JudgeFlow(CheckDraft& draft, const std::vector<double>& flows, const std::vector<double>& rpm,
               double relative_error) {
  const double flow = Median(flows);
  draft.Add("implied_flow", flow, "L/min",
            "heat made less heat stored and lost, over outlet less inlet, 50/50 glycol by "
            "temperature",
            flow * relative_error);
  std::vector<double> indices;
  for (std::size_t i = 0; i < flows.size(); ++i) indices.push_back(1000 * flows[i] / rpm[i]);
  draft.Add("flow_index", Median(indices), "L/min",
            "the same at 1000 rpm, to compare with other sessions",
            Median(indices) * relative_error);
  const double index = draft.settings().Get("cooling.flow_index");
  if (index <= 0) {
    draft.Missing("the flow of a full loop at 1000 rpm (cooling.flow_index), to judge the flow");
    return false;
  }
  draft.Limit("cooling.flow_index");
  const double expected = index * Median(rpm) / 1000;
  const double least = draft.Limit("cooling.flow");
  draft.Add("flow_ratio", flow / expected, "", "implied flow against cooling.flow_index",
            flow / expected * relative_error);
  const std::string text = "heat and temperatures imply " + Spoken(flow) + " +- " +
                           Spoken(flow * relative_error) +
                           " L/min where the pump's speed should give " + Spoken(expected);
  if (flow * (1 + kSure * relative_error) < least * expected) {
    draft.Judge(CheckStatus::kLookCloser, text + ": restriction, or air");
  } else if (flow * (1 - relative_error) < least * expected) {
    draft.Missing("a longer hard drive or fast charge, to be sure of the flow: " + text);
  } else {
    draft.Judge(CheckStatus::kWithin, text);
    return true;
  }
  return false;
}

// Error of the heat carried, W, one standard deviation; `ohm_error` of the resistance, relative.
double CarriedError(const Balance& balance, double ohm_error) {
  return std::sqrt(std::pow(std::hypot(kSlowHeatError, ohm_error) * balance.made_w, 2) +
                   std::pow(balance.stored_error_w, 2) + std::pow(balance.lost_error_w, 2));
}

// Whether the flow is good.
bool JudgeHeat(CheckDraft& draft, const std::vector<PumpStretch>& stretches) {
  const CheckInput& input = draft.input();
  if (input.Find("coolant inlet temperature") == nullptr ||
      input.Find("coolant outlet temperature") == nullptr ||
      input.Find("pack current") == nullptr) {
    draft.Missing("coolant temperatures at inlet and outlet and pack current, for a heat balance");
    return false;
  }
  // Heat is made over a long time, so the slow part of the resistance counts.
  const PulseFit pulses = PackPulses(input, draft.settings());
  const double ohm = pulses.Ohm(kSlowStep);
  if (!pulses.fitted() || ohm <= 0) {
    draft.Missing("changes of current, to know the resistance of the pack for a heat balance");
    return false;
  }
  const double rise = draft.Limit("cooling.rise");
  std::vector<double> flows, rpm, rises, errors;
  Intervals used;
  const auto balances = Balances(draft, stretches, pulses);
  DrawBalance(draft, balances);
  for (const Balance& balance : balances) {
    const double carried = balance.carried();
    if (balance.rise_k < rise || carried < kLeastHeat) continue;
    flows.push_back(ImpliedFlow(carried, balance.rise_k, balance.inlet_c));
    rpm.push_back(balance.rpm);
    rises.push_back(balance.rise_k);
    errors.push_back(CarriedError(balance, pulses.Uncertainty(kSlowStep) / ohm) / carried);
    used.push_back(balance.time);
  }
  if (flows.empty()) {
    draft.Missing("steady flow with outlet at least " + Spoken(rise) +
                  " K above inlet (a long hard drive or fast charge), for a heat balance");
    return false;
  }
  draft.Used("heat balance", used);
  draft.Add("outlet_less_inlet", Median(rises), "K", "median of the windows used",
            kSensorKelvin * std::sqrt(2.0));
  if (HeatCapacityOf(input, draft.settings()).joule_per_k <= 0) {
    draft.Missing(
        "pack.heat_capacity, pack.usable_energy or pack.capacity: heat that the pack takes up or "
        "gives was not taken off, so the flow is over-estimated while it warms");
  }
  const double of_rise = kSensorKelvin * std::sqrt(2.0) / Median(rises);
  return JudgeFlow(draft, flows, rpm, std::hypot(of_rise, Median(errors)));
}

// Each at whole seconds.
std::vector<double> Resampled(const Track& track, double from, double to) {
  std::vector<double> values;
  for (double at = from; at <= to; at += kDelayStep) {
    const auto value = ValueAt(track, at, to);
    values.push_back(value.value_or(0));
  }
  return values;
}

void TellDelay(CheckDraft& draft) {
  const Track& inlet = draft.input().TrackOf("coolant inlet temperature");
  const Track& outlet = draft.input().TrackOf("coolant outlet temperature");
  if (inlet.size() < 10 || outlet.size() < 10) return;
  const double from = std::max(inlet.time_s.front(), outlet.time_s.front());
  const double to = std::min(inlet.time_s.back(), outlet.time_s.back());
  const auto in = Resampled(inlet, from, to);
  const auto out = Resampled(outlet, from, to);
  // At a lag of nearly the whole recording a few values are left, and correlate by chance; and what
  // is best at the last lag tried is no peak.
  const int most = std::min(kMostDelay, static_cast<int>(std::min(in.size(), out.size()) / 2));
  const Delay delay = BestDelay(in, out, most);
  if (delay.correlation < kDelayCertain || delay.samples == most) return;
  draft.Add("outlet_delay", delay.samples * kDelayStep, "s",
            "outlet follows inlet; correlation of differences " + Spoken(delay.correlation) +
                "; twice as long at the same pump speed is half the flow");
  if (draft.settings().Get("cooling.sensor_volume") <= 0 || delay.samples == 0) return;
  const double litres = draft.Limit("cooling.sensor_volume");
  draft.Add("flow_by_delay", DelayFlow(litres, delay.samples * kDelayStep), "L/min",
            "cooling.sensor_volume over outlet_delay: a second way to know the flow, mean over the "
            "recording");
}

// How fast the pack cools without current while coolant flows: the first such time.
void TellCoolingTime(CheckDraft& draft, const std::vector<PumpStretch>& stretches) {
  const CheckInput& input = draft.input();
  const Track& amps = input.TrackOf("pack current");
  const Track& inlet = input.TrackOf("coolant inlet temperature");
  if (amps.empty() || inlet.empty()) return;
  const double quiet = draft.settings().Get("rest.current");
  const Intervals resting =
      Where(amps, CheckInput::Gap(amps), [quiet](double now) { return std::fabs(now) < quiet; });
  Intervals flowing;
  for (const PumpStretch& stretch : stretches) flowing.push_back(stretch.time);
  for (const Interval& time : AtLeast(Both(resting, flowing), kLeastCooling)) {
    const Track cells = CellMean(input, time);
    const double end = Mean(Between(inlet, time.from_s, time.to_s).value);
    if (cells.size() < 10 || cells.value.front() - end < kLeastExcess) continue;
    const double left = (cells.value.back() - end) / (cells.value.front() - end);
    if (left > kMostLeft) continue;
    const double tau = CoolingTimeConstant(cells.time_s, cells.value, end, true);
    if (tau <= 0) continue;
    draft.Used("cooling down without current", {time});
    draft.Add(
        "cooling_time", tau, "s",
        "time constant of the mean cell temperature towards the coolant at the inlet; compare "
        "at equal pump speed: a third longer is worse (proposal)");
    return;
  }
}

// A parked network sends seldom: what counts then is what it said last, for a minute and more.
bool EndsLow(const RoleSignal& level) {
  const Track& track = level.track();
  std::size_t from = track.size();
  while (from > 0 && level.IsState(track.value[from - 1], {Meaning::kLow, Meaning::kEmpty})) --from;
  return from < track.size() && track.size() - from >= kFewestLow &&
         track.time_s.back() - track.time_s[from] >= kLowSeconds;
}

void JudgeLevel(CheckDraft& draft) {
  const RoleSignal* level = draft.input().Find("coolant level");
  if (level == nullptr) return;
  if (level->states.empty()) {
    const Track medians = BinMedians(level->track(), 12);
    if (!medians.empty()) {
      draft.Add("coolant_level_change", medians.value.back() - medians.value.front(), level->unit,
                "last part of the recording less the first; 8 L grow 0.15 L from 10 to 50 degC");
    }
    return;
  }
  const double all = draft.input().length_s;
  const double empty = TotalLength(draft.input().WhereState("coolant level", {Meaning::kEmpty}));
  const double low = TotalLength(draft.input().WhereState("coolant level", {Meaning::kLow}));
  const std::size_t changes = Changes(level->track()).size();
  draft.Add("coolant_level_changes", static_cast<double>(changes), "", "of the level switch");
  const bool at_end = EndsLow(*level);
  if (empty > 0.1 * all) {
    draft.Judge(CheckStatus::kOutside, "the coolant level is empty");
  } else if (low + empty > 0.1 * all || at_end) {
    draft.Judge(CheckStatus::kLookCloser,
                at_end ? "the coolant level is low at the end" : "the coolant level is low");
  } else if (changes > 2) {
    draft.Judge(CheckStatus::kLookCloser, "the level switch changed " + std::to_string(changes) +
                                              " times: level near its limit, or air moving");
  }
}

}  // namespace

void CheckCooling(CheckDraft& draft) {
  draft.Alike(
      "a blocked or kinked hose takes pump power, too, but steadily; only air fluctuates, "
      "and more after standing");
  draft.Alike("cold coolant is thick: compare pump power at equal temperature only");
  draft.Alike("a chiller or heater in the loop adds heat that the balance does not know");
  draft.Alike("a pump speed that is only the command sent back shows nothing of the pump");
  const auto [stretches, unsure] = JudgePump(draft);
  // With a good session's figures good news needs one of the two.
  if (!JudgeHeat(draft, stretches) && !unsure.empty()) {
    draft.Missing("heat enough to show the flow: a long hard drive or fast charge");
    draft.Judge(CheckStatus::kCannotTell, unsure);
  }
  TellDelay(draft);
  TellCoolingTime(draft, stretches);
  JudgeTemperatures(draft);
  if (draft.input().part != CheckInput::Part::kStretch) JudgeLevel(draft);
}

}  // namespace proofdrive::analysis
