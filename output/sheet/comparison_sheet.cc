#include "output/sheet/comparison_sheet.h"

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
  Sheet sheet{"Definitions that no longer hold", "", "lint --against", {}, {}};
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

// Signals that changed, and the numbers of the others.
Sheet SignalSheet(const Comparison& comparison) {
  if (comparison.signals.empty()) return {};
  Sheet sheet{"Signals where the car did the same", SignalLead(comparison), "", {}, {}};
  sheet.columns = {{"signal", Kind::kName}, {"change"}, {"detail"}};
  for (const SignalLine& line : SignalLines(comparison)) {
    sheet.Add({line.signal, line.change, line.detail});
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

// Checks side by side; what the later one says.
Sheet CheckSheet(const Comparison& comparison) {
  Sheet sheet{"Checks", "", "check", {}, {}};
  sheet.columns = {{"check"}, {"before"}, {"after"}, {"what it says after"}};
  std::vector<std::string> silent;
  for (const analysis::CheckPair& pair : comparison.checks) {
    if (pair.CannotTell()) {
      silent.push_back(pair.title);
      continue;
    }
    sheet.Add({pair.title, std::string(CheckStatusName(pair.before.status)),
               std::string(CheckStatusName(pair.after.status)), pair.after.FirstSentence()});
  }
  sheet.lead = AllGuessesOf(comparison.checks);
  if (!silent.empty()) {
    const std::string cannot = sheet.lead.empty() ? "cannot" : " Cannot";
    sheet.lead += cannot + " tell in either session: " + Enumerate(silent);
  }
  return sheet;
}

}  // namespace

std::vector<Sheet> ComparisonSheets(const Comparison& comparison) {
  std::vector<Sheet> sheets = {
      UnitSheet(comparison),   DefinitionSheet(comparison), TrafficSheet(comparison.traffic),
      SignalSheet(comparison), FaultSheet(comparison),      CheckSheet(comparison)};
  std::erase_if(sheets, [](const Sheet& sheet) { return sheet.empty(); });
  return sheets;
}

}  // namespace proofdrive::output
