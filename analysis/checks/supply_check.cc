#include "analysis/checks/supply_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/physics/supply_battery.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kConverterStarts = 5;  // s after the contactors closed
constexpr double kDropout = 3;          // s below supply.charging
constexpr double kSagSeconds = 0.2;     // shorter dips are readings, not sags

// Seconds below `volt`, and the longest stretch of them.
double LongestBelow(const Track& supply, double volt) {
  double longest = 0;
  for (const Interval& one :
       Where(supply, CheckInput::Gap(supply), [volt](double v) { return v < volt; })) {
    longest = std::max(longest, one.length());
  }
  return longest;
}

void JudgeConverter(CheckDraft& draft, const Track& supply) {
  const CheckInput& input = draft.input();
  const Intervals up =
      WithoutHead(input.WhereState("contactor state", {Meaning::kClosed}), kConverterStarts);
  const Track with = KeepIn(supply, up);
  if (with.empty()) {
    draft.Missing("high voltage up for " + Spoken(kConverterStarts) +
                  " s, to see the converter work");
    return;
  }
  draft.Used("high voltage up", up);
  draft.Add("supply_with_converter", Median(with.value), "V", "median with high voltage up");
  const double charging = draft.Limit("supply.charging");
  const double below = LongestBelow(with, charging);
  draft.Add("converter_dropout", below, "s", "longest time below supply.charging");
  if (below < kDropout) {
    draft.Judge(CheckStatus::kWithin,
                "with high voltage up the supply has " + Spoken(Median(with.value)) + " V");
    return;
  }
  const bool says_on = TotalLength(Both(input.WhereState("converter state", {Meaning::kOn}), up)) >
                       0.9 * TotalLength(up);
  draft.Judge(CheckStatus::kLookCloser,
              "the supply was below " + Spoken(charging) + " V for " + SpokenSeconds(below) +
                  " with high voltage up: the converter did not support it" +
                  (says_on ? ", although it says that it is on" : ""));
}

// Of a single reading.
double StepError(const CheckDraft& draft) {
  return draft.input().Find("supply voltage")->step / std::sqrt(12.0);
}

void JudgeLowest(CheckDraft& draft, const Track& supply) {
  const double sag = draft.Limit("supply.sag");
  const double awake = draft.Limit("supply.awake");
  const double lowest = *std::min_element(supply.value.begin(), supply.value.end());
  draft.Used("every reading of the supply", {{supply.time_s.front(), supply.time_s.back()}});
  draft.Add("supply_lowest", lowest, "V", "single reading", StepError(draft));
  const std::string after = "; warnings set within 5 s of it may come from the supply";
  if (LongestBelow(supply, sag) >= kSagSeconds) {
    draft.Judge(CheckStatus::kOutside, "the supply sagged to " + Spoken(lowest) + " V" + after);
  } else if (LongestBelow(supply, awake) >= kSagSeconds) {
    draft.Judge(CheckStatus::kLookCloser, "the supply fell to " + Spoken(lowest) + " V" + after);
  } else {
    draft.Judge(CheckStatus::kWithin, "the supply never fell below " + Spoken(lowest) + " V");
  }
  const double most = draft.Limit("supply.most");
  const double high = Quantile(supply.value, 0.99);
  if (high > most) {
    draft.Judge(CheckStatus::kOutside, "the supply reached " + Spoken(high) + " V: over-voltage");
  }
}

void TellBattery(CheckDraft& draft, const Track& supply) {
  const Intervals down = Outside(draft.input().WhereState("contactor state", {Meaning::kClosed}),
                                 draft.input().length_s + 1);
  const Track without = KeepIn(supply, down);
  if (without.empty()) return;
  const double volt = Median(without.value);
  draft.Add("supply_on_battery", volt, "V", "median without high voltage, units awake");
  draft.Add("battery_charge", LeadAcidPercent(volt), "%",
            "if a lead-acid battery, rested 6 h, showed this voltage; with units awake it reads "
            "low, and for lithium batteries it is wrong");
}

}  // namespace

void CheckSupply(CheckDraft& draft) {
  draft.Alike("a recorder on the same line: its own supply fails at the same moment");
  draft.Alike("a voltage averaged over seconds hides sags; a shared ground reads 0.1 - 0.3 V low");
  const Track& supply = draft.input().TrackOf("supply voltage");
  JudgeLowest(draft, supply);
  JudgeConverter(draft, supply);
  TellBattery(draft, supply);
}

}  // namespace proofdrive::analysis
