#include "analysis/checks/supply_check.h"

#include <algorithm>
#include <functional>
#include <string>

#include "analysis/physics/supply_battery.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kConverterStarts = 5;  // s after the contactors closed
constexpr double kDropout = 3;          // s without support
constexpr double kSagSeconds = 0.2;     // shorter dips are readings, not sags
constexpr double kOverSeconds = 0.5;    // shorter peaks are load dumps: at most 0.4 s (from memory)
constexpr double kEmptySeconds = 60;

// The longest stretch in which the supply has the property.
double Longest(const Track& supply, const std::function<bool(double)>& has) {
  double longest = 0;
  for (const Interval& one : Where(supply, CheckInput::Gap(supply), has)) {
    longest = std::max(longest, one.length());
  }
  return longest;
}
double LongestBelow(const Track& supply, double volt) {
  return Longest(supply, [volt](double v) { return v < volt; });
}
double LongestAbove(const Track& supply, double volt) {
  return Longest(supply, [volt](double v) { return v > volt; });
}

// Below `charging` the converter may rest in an economy mode: only its own state tells.
enum class Support { kYes, kNo, kEconomy, kNotKnown };
Support SupportOf(CheckDraft& draft, const Track& with, const Intervals& up, double charging) {
  const CheckInput& input = draft.input();
  if (LongestBelow(with, charging) < kDropout) return Support::kYes;
  const double economy = draft.Limit("supply.economy");
  if (LongestBelow(with, economy) >= kDropout) return Support::kNo;
  if (input.Find("converter state") == nullptr) return Support::kNotKnown;
  for (const Interval& off :
       Both(input.WhereState("converter state", {Meaning::kOff, Meaning::kFault}), up)) {
    const Track then = Between(with, off.from_s, off.to_s);
    if (off.length() >= kDropout && !then.empty() && Median(then.value) < charging) {
      return Support::kNo;
    }
  }
  return Support::kEconomy;
}

void TellNoSupport(CheckDraft& draft, const Track& with, const Intervals& up, double charging) {
  const Intervals on = draft.input().WhereState("converter state", {Meaning::kOn});
  const bool says_on = TotalLength(Both(on, up)) > 0.9 * TotalLength(up);
  draft.Judge(CheckStatus::kLookCloser,
              "the supply was below " + Spoken(charging) + " V for " +
                  SpokenSeconds(LongestBelow(with, charging)) +
                  " with high voltage up: the converter did not support it" +
                  (says_on ? ", although it says that it is on" : ""));
}

// Returns whether it could be told.
bool JudgeConverter(CheckDraft& draft, const Track& supply) {
  const Intervals up = WithoutHead(draft.input().WhereState("contactor state", {Meaning::kClosed}),
                                   kConverterStarts);
  const Track with = KeepIn(supply, up);
  if (with.empty()) {
    draft.Missing("high voltage up for " + Spoken(kConverterStarts) +
                  " s, to see the converter work");
    return true;
  }
  const std::string median = Spoken(Median(with.value)) + " V";
  draft.Used("high voltage up", up);
  draft.Add("supply_with_converter", Median(with.value), "V", "median with high voltage up");
  const double charging = draft.Limit("supply.charging");
  draft.Add("converter_dropout", LongestBelow(with, charging), "s",
            "longest time below supply.charging");
  switch (SupportOf(draft, with, up, charging)) {
    case Support::kYes:
      draft.Judge(CheckStatus::kWithin, "with high voltage up the supply has " + median);
      return true;
    case Support::kEconomy:
      draft.Judge(CheckStatus::kWithin,
                  "with high voltage up the supply has " + median + ", and was below " +
                      Spoken(charging) +
                      " V while the converter says that it is on: an economy mode does that");
      return true;
    case Support::kNo:
      TellNoSupport(draft, with, up, charging);
      return true;
    case Support::kNotKnown:
      break;
  }
  draft.Missing("a signal with role \"converter state\": below " + Spoken(charging) +
                " V with high voltage up it may rest in an economy mode or have stopped");
  return false;
}

void JudgeHighest(CheckDraft& draft, const Track& supply) {
  const double most = draft.Limit("supply.most");
  const double high = draft.Limit("supply.high");
  const double highest = *std::max_element(supply.value.begin(), supply.value.end());
  draft.Add("supply_highest", highest, "V", "single reading");
  if (LongestAbove(supply, most) >= kOverSeconds) {
    draft.Judge(CheckStatus::kOutside,
                "the supply reached " + Spoken(highest) + " V: over-voltage");
  } else if (LongestAbove(supply, high) >= kOverSeconds) {
    draft.Judge(CheckStatus::kLookCloser, "the supply reached " + Spoken(highest) +
                                              " V, more than charging in the cold needs");
  }
}

void JudgeLowest(CheckDraft& draft, const Track& supply, bool told) {
  const double sag = draft.Limit("supply.sag");
  const double awake = draft.Limit("supply.awake");
  const double lowest = *std::min_element(supply.value.begin(), supply.value.end());
  draft.Used("every reading of the supply", {{supply.time_s.front(), supply.time_s.back()}});
  draft.Add("supply_lowest", lowest, "V",
            "single reading; lower between two readings, and what the sender is off by, not known");
  const std::string after = "; warnings set within 5 s of it may come from the supply";
  const std::string never = "the supply never fell below " + Spoken(lowest) + " V";
  if (LongestBelow(supply, sag) >= kSagSeconds) {
    draft.Judge(CheckStatus::kOutside, "the supply sagged to " + Spoken(lowest) + " V" + after);
  } else if (LongestBelow(supply, awake) >= kSagSeconds) {
    draft.Judge(CheckStatus::kLookCloser, "the supply fell to " + Spoken(lowest) + " V" + after);
  } else if (told) {
    draft.Judge(CheckStatus::kWithin, never);
  } else {
    draft.Remark(never);
  }
}

void JudgeBattery(CheckDraft& draft, const Track& supply) {
  const Intervals down = Outside(draft.input().WhereState("contactor state", {Meaning::kClosed}),
                                 draft.input().length_s + 1);
  const Track without = KeepIn(supply, down);
  if (without.empty()) return;
  const double volt = Median(without.value);
  draft.Add("supply_on_battery", volt, "V", "median without high voltage, units awake");
  draft.Add("battery_charge", LeadAcidPercent(volt), "%",
            "if a lead-acid battery, rested 6 h, showed this voltage; with units awake it reads "
            "low, and for lithium batteries it is wrong");
  const double empty = draft.Limit("supply.empty");
  const double below = LongestBelow(without, empty);
  if (below < kEmptySeconds) return;
  draft.Judge(CheckStatus::kLookCloser, "without the converter the supply was below " +
                                            Spoken(empty) + " V for " + SpokenSeconds(below) +
                                            ": the battery is empty, weak or loaded");
}

}  // namespace

void CheckSupply(CheckDraft& draft) {
  draft.Alike("a recorder on the same line: its own supply fails at the same moment");
  draft.Alike("an economy mode that lets the battery carry the load looks like a weak converter");
  draft.Alike("a voltage averaged over seconds hides sags; a shared ground reads 0.1 - 0.3 V low");
  const Track& supply = draft.input().TrackOf("supply voltage");
  const bool told = JudgeConverter(draft, supply);
  JudgeLowest(draft, supply, told);
  JudgeHighest(draft, supply);
  JudgeBattery(draft, supply);
}

}  // namespace proofdrive::analysis
