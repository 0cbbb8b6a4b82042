#include "output/sheet/comparison_sheet.h"

#include <algorithm>
#include <utility>

#include "analysis/checking/draft.h"
#include "analysis/checking/guesses.h"
#include "core/base/text.h"
#include "output/words/comparison_words.h"
#include "output/words/control_unit_words.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using Kind = SheetColumn::Kind;

Sheet UnitSheet(const Comparison& comparison) {
  Sheet sheet{"Control units", UnitLead(comparison), "", {}, {}};
  sheet.columns = {{"unit"}, {"installed"}, {"before"}, {"after"}};
  for (const UnitLine& line : UnitLines(comparison)) {
    sheet.Add({line.unit, line.item, line.before, line.after});
  }
  return sheet;
}

// Definitions that fit the first session and not the second.
Sheet DefinitionSheet(const Comparison& comparison) {
  Sheet sheet{"Described, and not as described any more", "", "lint --against", {}, {}};
  sheet.columns = {
      {"frame or signal", Kind::kName}, {"problem"}, {"before"}, {"after"}, {"likely new place"}};
  for (const DefinitionLine& line : DefinitionLines(comparison)) {
    sheet.Add({line.what, line.problem, line.before, line.after, line.likely});
  }
  return sheet;
}

Sheet TrafficSheet(const analysis::TrafficComparison& traffic) {
  Sheet sheet{"Traffic", TrafficLead(traffic), "", {}, {}};
  sheet.columns = {{"change"}, {"bus"}, {"identifier", Kind::kName}, {"detail"}};
  for (const TrafficLine& line : TrafficLines(traffic)) {
    sheet.Add({line.what, line.bus, line.stream, line.detail});
  }
  return sheet;
}

// Signals that changed or have a role, and the numbers of the others. `all`: also why one is not
// called changed.
Sheet SignalSheet(const Comparison& comparison, bool all) {
  if (comparison.signals.empty()) return {};
  Sheet sheet{"Signals where the car did the same", SignalLead(comparison), "", {}, {}};
  sheet.columns = {{"signal", Kind::kName}, {"before"}, {"after"}, {"changed?"}};
  for (const SignalLine& line : SignalLines(comparison)) {
    sheet.Add({line.signal, line.before, line.after, all ? line.change : line.brief});
  }
  return sheet;
}

// Frames whose counter, checksum or length is wrong, on each side.
Sheet FaultSheet(const Comparison& comparison) {
  if (comparison.after.definitions == nullptr) return {};
  Sheet sheet{"Frames with faults", "", "", {}, {}};
  sheet.columns = {
      {"frame", Kind::kName}, {"fault"}, {"before", Kind::kCount}, {"after", Kind::kCount}};
  for (std::size_t i = 0; i < comparison.after.faults.size(); ++i) {
    const decoders::FrameFaults& a = comparison.before.faults[i];
    const decoders::FrameFaults& b = comparison.after.faults[i];
    const auto add = [&](const char* fault, std::uint64_t before, std::uint64_t after) {
      if (before == 0 && after == 0) return;
      sheet.Add({comparison.after.definitions->frames[i].name, fault, FormatCount(before),
                 FormatCount(after)});
    };
    add("counter out of step", a.counter_faults, b.counter_faults);
    add("checksum wrong", a.checksum_faults, b.checksum_faults);
    add("length wrong", a.wrong_length, b.wrong_length);
  }
  return sheet;
}

std::string AllGuessesOf(const std::vector<analysis::CheckPair>& pairs) {
  std::vector<analysis::CheckResult> after;
  for (const analysis::CheckPair& pair : pairs) after.push_back(pair.after);
  return analysis::AllGuessesSentence(after);
}

std::string Amount(double value, const std::string& unit) {
  return analysis::Spoken(value) + (unit.empty() ? "" : " " + unit);
}

std::vector<const analysis::FigureComparison*> ShownFigures(const analysis::CheckPair& pair,
                                                            bool all) {
  std::vector<const analysis::FigureComparison*> shown;
  for (const analysis::FigureComparison& one : pair.figures) {
    if (all || one.is_main || one.Changed()) shown.push_back(&one);
  }
  return shown;
}

bool Changed(const analysis::CheckPair& pair) {
  return pair.before.status != pair.after.status ||
         std::any_of(pair.figures.begin(), pair.figures.end(),
                     [](const auto& figure) { return figure.Changed(); });
}

// The most urgent first, as they are in the after-session; then what changed.
std::vector<const analysis::CheckPair*> ByUrgency(const Comparison& comparison) {
  std::vector<const analysis::CheckPair*> pairs;
  for (const analysis::CheckPair& pair : comparison.checks) pairs.push_back(&pair);
  std::stable_sort(pairs.begin(), pairs.end(), [](const auto* a, const auto* b) {
    return std::pair(a->after.status, !Changed(*a)) < std::pair(b->after.status, !Changed(*b));
  });
  return pairs;
}

// Checks side by side: what the later one says, and what their figures did, whatever the limits
// say.
Sheet CheckSheet(const Comparison& comparison, bool all) {
  Sheet sheet{"Checks", "", "check", {}, {}};
  sheet.columns = {{"check"}, {"before"}, {"after"}, {"what it says after, and what changed"}};
  std::vector<std::string> silent;
  for (const analysis::CheckPair* pair : ByUrgency(comparison)) {
    const auto figures = ShownFigures(*pair, all);
    if (pair->CannotTell() && figures.empty()) {
      silent.push_back(pair->title);
      continue;
    }
    sheet.Add({pair->title, std::string(CheckStatusName(pair->before.status)),
               std::string(CheckStatusName(pair->after.status)), pair->after.FirstSentence()});
    for (const analysis::FigureComparison* one : figures) {
      sheet.Add({"- " + one->words, Amount(one->before, one->unit), Amount(one->after, one->unit),
                 one->Sentence()});
    }
  }
  sheet.lead = AllGuessesOf(comparison.checks);
  if (!silent.empty()) {
    const std::string cannot = sheet.lead.empty() ? "cannot" : " Cannot";
    sheet.lead += cannot + " tell in either session: " + Enumerate(silent);
  }
  return sheet;
}

}  // namespace

std::vector<Sheet> ComparisonSheets(const Comparison& comparison, bool all) {
  std::vector<Sheet> sheets = {DefinitionSheet(comparison), CheckSheet(comparison, all),
                               UnitSheet(comparison), SignalSheet(comparison, all),
                               TrafficSheet(comparison.traffic)};
  if (all) sheets.push_back(FaultSheet(comparison));
  // What has nothing but a sentence comes last.
  std::stable_partition(sheets.begin(), sheets.end(),
                        [](const Sheet& sheet) { return !sheet.rows.empty(); });
  std::erase_if(sheets, [](const Sheet& sheet) { return sheet.empty(); });
  return sheets;
}

}  // namespace proofdrive::output
