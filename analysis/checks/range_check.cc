#include "analysis/checks/range_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/checking/rest.h"
#include "analysis/physics/cell_curve.h"
#include "analysis/physics/charge_count.h"
#include "analysis/physics/zero_range.h"
#include "analysis/statistics/summaries.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kEnd = 10;  // s at the end of the recording that are judged
constexpr double kZeroKm = 0.5;
constexpr double kZeroKwh = 0.5;
constexpr double kZeroKw = 0.1;
constexpr double kChargeError = 1;  // %, of a charge from a rested voltage (proposal)
constexpr double kLeastCount = 2;   // %, of charge that must move to compare counting

std::optional<double> AtEnd(const CheckInput& input, decoders::RoleName role) {
  const Track& track = input.TrackOf(role);
  if (track.empty()) return std::nullopt;
  const Track end = Between(track, input.length_s - kEnd, input.length_s);
  if (end.empty()) return std::nullopt;
  return Median(end.value);
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

void Disagree(CheckDraft& draft, const std::string& what, double shown, double other) {
  const double most = draft.Limit("range.disagree");
  if (std::fabs(shown - other) > most) {
    draft.Judge(CheckStatus::kLookCloser, "the charge shown is " + Spoken(shown) + " %, " + what +
                                              " says " + Spoken(other) + " %");
  } else {
    draft.Judge(CheckStatus::kWithin,
                "the charge shown agrees with " + what + " within " + Spoken(most) + " %");
  }
}

void CompareWithVoltage(CheckDraft& draft, double shown) {
  const auto& settings = draft.settings();
  if (settings.chemistry() != Chemistry::kNmc) {
    draft.Missing(
        "the chemistry (pack.chemistry), to hold the charge shown against a rested "
        "voltage");
    return;
  }
  const Intervals resting = RestingTime(draft.input(), settings);
  for (auto rest = resting.rbegin(); rest != resting.rend(); ++rest) {
    if (RestedSeconds(*rest, settings) < 3600 * draft.Limit("rest.hours")) continue;
    std::vector<double> volts;
    for (const double volt : RestedCells(draft.input(), *rest, 30)) {
      if (!std::isnan(volt)) volts.push_back(volt);
    }
    if (volts.empty()) continue;
    const double percent = 100 * NmcChargeOf(Median(volts));
    const double weakest = 100 * NmcChargeOf(*std::min_element(volts.begin(), volts.end()));
    draft.Used("a rest", {*rest});
    draft.Add("charge_by_voltage", percent, "%", "of the median cell at rest", kChargeError);
    draft.Add("charge_of_weakest", weakest, "%", "the weakest cell sets what can be used");
    Disagree(draft, "the rested voltage", shown, percent);
    return;
  }
  draft.Missing("a rest of " + SpokenSeconds(3600 * settings.Get("rest.hours")) +
                ", to hold the charge shown against a voltage");
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
  if (std::fabs(counted - shown) > draft.Limit("range.disagree")) {
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
  Disagree(draft, "the energy left", shown, 100 * *energy / usable);
}

}  // namespace

void CheckRange(CheckDraft& draft) {
  draft.Alike("a display that keeps its last value while the pack's unit is silent");
  draft.Alike("the sender's code for \"no value\", drawn as 0");
  draft.Alike("two states of charge with different zero points");
  const auto range = AtEnd(draft.input(), "displayed range");
  if (!range) {
    draft.Missing("a displayed range at the end of the recording");
    return;
  }
  const double end = draft.input().length_s;
  draft.Used("the end of the recording", {{std::max(0.0, end - kEnd), end}});
  draft.Add("range_shown", *range, "km", "at the end of the recording");
  if (*range < kZeroKm) {
    JudgeZero(draft);
  } else {
    draft.Judge(CheckStatus::kWithin, "a range of " + Spoken(*range) + " km is shown");
  }
  const auto shown = AtEnd(draft.input(), "state of charge");
  if (!shown) return;
  CompareWithVoltage(draft, *shown);
  CompareWithCount(draft);
  CompareEnergy(draft, *shown);
}

}  // namespace proofdrive::analysis
