#include "analysis/checks/range_check.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/checks/parts/charge_by_voltage.h"
#include "analysis/checks/parts/rest_capacity.h"
#include "analysis/physics/charge_count.h"
#include "analysis/physics/zero_range.h"
#include "analysis/statistics/summaries.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kEnd = 10;  // s around the moment that is judged
constexpr double kOld = 60;  // s, no value is older
constexpr double kZeroKm = 0.5;
constexpr double kZeroKwh = 0.5;
constexpr double kZeroKw = 0.1;
constexpr double kLeastCount = 2;  // %, of charge that must move to compare counting
constexpr double kCountError = 3;  // %, the charge shown settles, and has steps (proposal)
// What is counted of pack.capacity for one percent shown: between 2 and 13 % of it are hidden, and
// up to 30 % may be lost before a pack is replaced (from memory).
constexpr double kCountLow = 0.6, kCountHigh = 1.05;
constexpr double kMostSpan = 20;   // %, between curves: more says too little
constexpr double kSure = 2;        // standard deviations
constexpr double kZeroAmps = 0.3;  // by which a current sensor may be off at zero (proposal)

std::optional<double> ValueNear(const CheckInput& input, decoders::RoleName role, double at_s) {
  const Track& track = input.TrackOf(role);
  if (track.empty()) return std::nullopt;
  const Track near = Between(track, at_s - kEnd, at_s + kEnd);
  if (near.empty()) return ValueAt(track, at_s, kOld);
  return Median(near.value);
}

// When the range was last sent: parked networks sleep.
double LastShown(const CheckInput& input) {
  const Track& range = input.TrackOf("displayed range");
  return range.empty() ? input.length_s : range.time_s.back();
}

std::optional<double> AtEnd(const CheckInput& input, decoders::RoleName role) {
  return ValueNear(input, role, LastShown(input));
}

double LowestOf(const std::vector<double>& volts) {
  double lowest = std::numeric_limits<double>::infinity();
  for (const double volt : volts) lowest = std::fmin(lowest, volt);
  return lowest;
}

// Whether the state holds at the end; nullopt without the role.
std::optional<bool> StateAtEnd(const CheckInput& input, decoders::RoleName role,
                               std::initializer_list<Meaning> meanings) {
  const RoleSignal* signal = input.Find(role);
  if (signal == nullptr) return std::nullopt;
  return signal->IsState(signal->track().value.back(), meanings);
}

constexpr decoders::RoleName kInhibit = "contactor inhibit";

std::optional<bool> FaultAtEnd(const CheckInput& input) {
  std::optional<bool> fault = StateAtEnd(input, "crash latch", {Meaning::kSet});
  for (const RoleSignal& signal : input.signals) {
    if (signal.role != kInhibit || !signal.unusable.empty() || !signal.received()) {
      continue;
    }
    fault = fault.value_or(false) || signal.IsState(signal.track().value.back(), {Meaning::kSet});
  }
  return fault;
}

// "state of charge and contactor state": what a zero range is judged by and was not received at the
// end.
std::string Unknown(const RangeInputs& inputs) {
  std::vector<std::string> names;
  if (!inputs.charge_valid) names.emplace_back("state of charge");
  if (!inputs.energy_left) names.emplace_back("energy left");
  if (!inputs.discharge_allowed) names.emplace_back("discharge power limit");
  if (!inputs.contactors_closed) names.emplace_back("contactor state");
  return Join(names, ", ") + " at the end of the recording";
}

void JudgeZero(CheckDraft& draft) {
  const CheckInput& input = draft.input();
  RangeInputs inputs;
  const auto charge = AtEnd(input, "state of charge");
  const double odd_from = draft.Limit("range.charge");
  if (charge) inputs.charge_valid = *charge > 0;
  const auto energy = AtEnd(input, "energy left");
  if (energy) inputs.energy_left = *energy > kZeroKwh;
  if (!energy && charge) inputs.energy_left = *charge > odd_from;
  if (const auto limit = AtEnd(input, "discharge power limit")) {
    inputs.discharge_allowed = *limit > kZeroKw;
  }
  inputs.contactors_closed = StateAtEnd(input, "contactor state", {Meaning::kClosed});
  inputs.fault_latched = FaultAtEnd(input);
  const RangeCause cause = CauseOfZeroRange(inputs);
  const std::string text = "the range shown is 0: " + std::string(RangeCauseText(cause));
  if (cause == RangeCause::kEmpty) {
    draft.Judge(CheckStatus::kWithin, text);
  } else if (cause == RangeCause::kUnknown) {
    draft.Missing(Unknown(inputs) + ", to say why the range is 0");
  } else {
    draft.Judge(CheckStatus::kLookCloser, text);
  }
}

// `low` to `high`: what the other way says.
void Disagree(CheckDraft& draft, const std::string& what, double shown, double low, double high,
              double error = 0) {
  const double most = draft.Limit("range.disagree") + error;
  const std::string other = RangeText(low, high) + (error > 0 ? " +- " + Spoken(error) : "") + " %";
  if (std::max(low - shown, shown - high) > most) {
    draft.Judge(CheckStatus::kLookCloser,
                "the charge shown is " + Spoken(shown) + " %, " + what + " says " + other);
  } else {
    draft.Judge(CheckStatus::kWithin,
                "the charge shown, " + Spoken(shown) + " %, agrees with " + what + ", " + other);
  }
}

// Holds the charge shown at the end of a rest against the voltage there.
void CompareWithVoltage(CheckDraft& draft) {
  const CheckSettings& settings = draft.settings();
  const RoleSignal* cells = draft.input().Find("cell voltages");
  if (cells == nullptr) return;
  if (settings.chemistry() == Chemistry::kLfp && !settings.curve()) {
    draft.Missing(
        "a chemistry whose voltage shows its charge, to hold the charge shown against it: "
        "iron phosphate has a plateau");
    return;
  }
  const auto points = RestPoints(draft);
  if (points.empty()) {
    draft.Missing("a rest of " + SpokenSeconds(3600 * settings.Get("rest.hours")) +
                  " or more, to hold the charge shown against a voltage");
    return;
  }
  const RestPoint& rest = points.back();
  const auto shown = ValueNear(draft.input(), "state of charge", rest.at_s - kEnd);
  const auto curves = CurvesHere(draft, rest.middle_v);
  if (!shown || curves.empty()) return;
  const ChargeSpan charge = ChargeBy(curves, rest.middle_v, cells->step);
  const double low = 100 * charge.low, high = 100 * charge.high;
  draft.Used("a rest", {{std::max(0.0, rest.at_s - kEnd), rest.at_s}});
  draft.Add("charge_by_voltage", 100 * charge.middle(), "%",
            "of the median cell at rest, the middle of " + CountOf(curves.size(), "curve"),
            100 * charge.uncertainty());
  const double weakest = LowestOf(rest.volts);
  draft.Add("charge_of_weakest", 100 * ChargeBy(curves, weakest, cells->step).middle(), "%",
            "the weakest cell sets what can be used");
  if (high - low > kMostSpan) {
    draft.Missing("the curve of its cells (pack.curve): the rested voltage is " +
                  RangeText(low, high) + " % by those they may follow");
    return;
  }
  Disagree(draft, "the rested voltage", *shown, low, high, kSure * 100 * charge.error);
}

void CompareWithCount(CheckDraft& draft) {
  const CheckInput& input = draft.input();
  const double capacity = draft.settings().Get("pack.capacity");
  const Track& current = input.TrackOf("pack current");
  const Track& charge = input.TrackOf("state of charge");
  if (capacity <= 0 || current.size() < 2 || charge.size() < 2) return;
  const double counted = 100 * Trapezoid(current.time_s, current.value) / 3600 / capacity;
  const double shown = charge.value.front() - charge.value.back();
  draft.Used("count of charge", {{current.time_s.front(), current.time_s.back()}});
  draft.Add("charge_counted", counted, "%", "current over time, of pack.capacity");
  draft.Add("charge_shown_change", shown, "%", "of the charge shown, the same time");
  if (std::max(std::fabs(counted), std::fabs(shown)) < kLeastCount) return;
  const double low = std::min(kCountLow * shown, kCountHigh * shown);
  const double high = std::max(kCountLow * shown, kCountHigh * shown);
  const double off = std::max({0.0, low - counted, counted - high});
  const double hours = (current.time_s.back() - current.time_s.front()) / 3600;
  if (off > kCountError + 100 * kZeroAmps * hours / capacity) {
    draft.Judge(CheckStatus::kLookCloser, "the charge shown fell by " + Spoken(shown) +
                                              " %, the current counts " + Spoken(counted) + " %");
  }
}

void CompareEnergy(CheckDraft& draft, double shown) {
  const double usable = draft.settings().Get("pack.usable_energy");
  const auto energy = AtEnd(draft.input(), "energy left");
  if (usable <= 0 || !energy) return;
  draft.Limit("pack.usable_energy");
  draft.Add("energy_by_charge", shown / 100 * usable, "kWh", "charge shown x pack.usable_energy");
  const double percent = 100 * *energy / usable;
  Disagree(draft, "the energy left", shown, percent, percent);
}

}  // namespace

void CheckRange(CheckDraft& draft) {
  draft.Alike("a display that keeps its last value while the pack's unit is silent");
  draft.Alike("the sender's code for \"no value\", drawn as 0");
  draft.Alike("two states of charge with different zero points");
  const auto range = AtEnd(draft.input(), "displayed range");
  if (!range) {
    draft.Missing("a displayed range");
    return;
  }
  const double end = LastShown(draft.input());
  draft.Used("when the range was last sent", {{std::max(0.0, end - kEnd), end}});
  draft.Add("range_shown", *range, "km", "when it was last sent");
  if (*range < kZeroKm) {
    JudgeZero(draft);
  } else {
    draft.Judge(CheckStatus::kWithin, "a range of " + Spoken(*range) + " km is shown");
  }
  const auto shown = AtEnd(draft.input(), "state of charge");
  if (!shown) return;
  CompareWithVoltage(draft);
  CompareWithCount(draft);
  CompareEnergy(draft, *shown);
}

}  // namespace proofdrive::analysis
