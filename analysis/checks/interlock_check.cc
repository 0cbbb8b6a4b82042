#include "analysis/checks/interlock_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/statistics/event_groups.h"
#include "analysis/statistics/summaries.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kTogether = 0.2;    // s: cause and effect cannot be told apart closer than this
constexpr double kBridged = 0.05;    // of the cells' sum: the string is open
constexpr double kFlows = 5;         // s of power from the cells
constexpr double kDrives = 15;       // km/h, faster than anybody pushes
constexpr double kSupplyLow = 11.8;  // V, a rested lead-acid battery is empty at 11.89 V

Intervals LoopOpen(const CheckInput& input) {
  return input.WhereState("interlock", {Meaning::kOpen, Meaning::kShort});
}

void AddStarts(const Intervals& intervals, const std::string& name,
               std::vector<NamedOccurrence>& events) {
  for (const Interval& one : intervals) events.push_back({one.from_s, name});
}

std::vector<NamedOccurrence> Events(const CheckInput& input) {
  std::vector<NamedOccurrence> events;
  AddStarts(input.WhereState("crash latch", {Meaning::kSet}), "crash latch", events);
  AddStarts(LoopOpen(input), "interlock open", events);
  for (const Interval& one : input.WhereState("contactor state", {Meaning::kClosed})) {
    if (one.to_s < input.length_s - 1) events.push_back({one.to_s, "contactors open"});
  }
  for (const Interval& one : input.WhereState("converter state", {Meaning::kOn})) {
    if (one.to_s < input.length_s - 1) events.push_back({one.to_s, "converter off"});
  }
  const Track& supply = input.TrackOf("supply voltage");
  AddStarts(
      AtLeast(Where(supply, CheckInput::Gap(supply), [](double volt) { return volt < kSupplyLow; }),
              1),
      "12 V low", events);
  return events;
}

void TellChains(CheckDraft& draft) {
  const auto groups = GroupByTime(Events(draft.input()), draft.Limit("interlock.gap"));
  draft.Add("event_chains", static_cast<double>(groups.size()), "",
            "groups of events with silence between them");
  for (const auto& group : groups) {
    if (group.size() < 2) continue;
    draft.Remark("at " + Spoken(group.front().at_s) + " s look first at: " + group.front().name +
                 "; " + CountOf(group.size() - 1, "event") + " came after it, the last " +
                 SpokenSeconds(group.back().at_s - group.front().at_s) + " later");
  }
}

void JudgeCrash(CheckDraft& draft) {
  if (draft.input().Find("crash latch") == nullptr) {
    draft.Missing("a signal with role \"crash latch\"");
    return;
  }
  if (!draft.input().WhereState("crash latch", {Meaning::kSet}).empty()) {
    draft.Judge(CheckStatus::kOutside,
                "a crash is stored; a disconnect that fired is replaced, never bridged, and "
                "clearing codes does not undo it");
  } else {
    draft.Judge(CheckStatus::kWithin, "no crash is stored");
  }
}

// Did the loop open while it mattered, before the contactors, or after them?
void JudgeLoop(CheckDraft& draft) {
  const CheckInput& input = draft.input();
  const RoleSignal* loop = input.Find("interlock");
  if (loop == nullptr) {
    draft.Missing("a signal with role \"interlock\"");
    return;
  }
  const Intervals open = LoopOpen(input);
  const Intervals closed =
      input.WhereState("contactor state", {Meaning::kClosed, Meaning::kPrecharging});
  const Intervals asked = input.WhereState("contactor request", {Meaning::kOn});
  draft.Add("interlock_openings", static_cast<double>(open.size()), "", "of the loop");
  if (open.empty()) {
    draft.Judge(CheckStatus::kWithin, "the interlock loop was closed all the time");
    return;
  }
  if (open.back().to_s > input.length_s - 1) {
    draft.Judge(CheckStatus::kOutside, "the interlock loop is open at the end of the recording");
  }
  for (const Interval& one : open) {
    const double before = one.from_s - kTogether;
    const std::string when = "the interlock loop opened at " + Spoken(one.from_s) + " s";
    if (Contains(closed, before)) {
      draft.Judge(CheckStatus::kLookCloser,
                  when + " before the contactors did: a connector or cover may be the cause");
    } else if (Contains(asked, one.from_s)) {
      draft.Judge(CheckStatus::kLookCloser, when + " while high voltage was asked for");
    } else {
      draft.Judge(CheckStatus::kWithin,
                  when +
                      " with the contactors open already: usually a consequence, or somebody's "
                      "work");
    }
  }
}

// Power came from the cells, so their string is not open: a current while the contactors were
// closed, a converter that supplied, or a car that drove. Where the contactors are not known, at
// any time.
bool PowerFlowed(const CheckInput& input, Intervals closed, double rest_amps) {
  if (input.Find("contactor state") == nullptr) closed = {{0, input.length_s}};
  const Track speed = KeepIn(input.TrackOf("vehicle speed"), closed);
  const Intervals drives =
      Where(speed, CheckInput::Gap(speed), [](double kmh) { return kmh > kDrives; });
  if (TotalLength(drives) >= kFlows) return true;
  const Track with = KeepIn(input.TrackOf("pack current"), closed);
  const Intervals amps =
      Where(with, CheckInput::Gap(with), [&](double now) { return std::fabs(now) > rest_amps; });
  return TotalLength(amps) >= kFlows ||
         TotalLength(Both(input.WhereState("converter state", {Meaning::kOn}), closed)) >= kFlows;
}

// Where the pack's voltage is measured behind the contactors, it is that of the cells only while
// they are closed.
double TerminalVolt(const Track& pack, const Intervals& closed) {
  const Track with = KeepIn(pack, WithoutHead(closed, 1));
  return Median(with.empty() ? pack.value : with.value);
}

void JudgeHalf(CheckDraft& draft, std::size_t listed) {
  const double series = draft.settings().Get("pack.cells");
  if (series > 0 && 2 * series <= static_cast<double>(listed)) return;
  const std::string half =
      "the terminals have half of the cells' sum: the service disconnect in "
      "the middle is out";
  if (series > 0) {
    draft.Judge(CheckStatus::kOutside, half);
  } else {
    draft.Judge(CheckStatus::kLookCloser,
                half +
                    ", or two strings in parallel are listed (then write pack.cells, the "
                    "cells in series)");
  }
}

void JudgeOpenString(CheckDraft& draft, double sum, double volt, bool ever_closed) {
  const std::string text =
      "the cells add up to " + Spoken(sum) + " V, the terminals have " + Spoken(volt) +
      " V: the string is open (service disconnect, main fuse or crash disconnect)";
  if (ever_closed) {
    draft.Judge(CheckStatus::kOutside, text + ", not a contactor");
  } else {
    draft.Judge(CheckStatus::kLookCloser,
                text + ", or this voltage is measured behind the contactors, which never closed");
  }
}

void JudgeString(CheckDraft& draft) {
  const CheckInput& input = draft.input();
  const RoleSignal* cells = input.Find("cell voltages");
  const Track& pack = input.TrackOf("pack voltage");
  if (cells == nullptr || pack.empty()) return;
  double sum = 0;
  for (const Track& cell : cells->elements) {
    if (cell.empty()) return;
    sum += Median(cell.value);
  }
  const Intervals closed = input.WhereState("contactor state", {Meaning::kClosed});
  const double volt = TerminalVolt(pack, closed);
  const double ratio = volt / sum;
  draft.Add("terminals_against_cells", ratio, "",
            "pack voltage over the sum of the cells; with strings in parallel a half, a third...");
  if (PowerFlowed(input, closed, draft.settings().Get("rest.current"))) return;
  if (ratio < kBridged) {
    JudgeOpenString(draft, sum, volt, !closed.empty());
  } else if (std::fabs(ratio - 0.5) < 0.05) {
    JudgeHalf(draft, cells->elements.size());
  }
}

}  // namespace

void CheckInterlock(CheckDraft& draft) {
  draft.Alike("an interlock that opens after the contactors: its supply goes off with them");
  draft.Alike("first times are only as good as the period of each frame");
  draft.Alike("a crash state that came with a swapped pack or restraint unit from another car");
  draft.Used("every change of the states", {{0, draft.input().length_s}});
  JudgeCrash(draft);
  JudgeLoop(draft);
  JudgeString(draft);
  TellChains(draft);
}

}  // namespace proofdrive::analysis
