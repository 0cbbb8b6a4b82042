#include "output/report/change_tables.h"

#include "core/base/text.h"
#include "output/words/comparison_words.h"
#include "output/words/unit_words.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;

Html TrafficTable(const analysis::TrafficComparison& traffic) {
  HtmlTable table({"change", "bus", "identifier", "detail"});
  for (const TrafficLine& line : TrafficLines(traffic)) {
    table.Add({Html::Text(line.what), Html::Text(line.bus),
               Tag("span", {{"class", "id"}}, Html::Text(line.stream)), Html::Text(line.detail)});
  }
  return table.empty() ? Html() : table.Format();
}

Html FaultTable(const Comparison& comparison) {
  HtmlTable table({"frame", "fault", "before", "after"});
  if (comparison.after.definitions == nullptr) return {};
  const auto add = [&](const std::string& frame, const char* fault, std::uint64_t before,
                       std::uint64_t after) {
    if (before + after == 0) return;
    table.Add({Tag("span", {{"class", "id"}}, Html::Text(frame)), Html::Text(fault),
               Html::Text(FormatCount(before)), Html::Text(FormatCount(after))});
  };
  for (std::size_t i = 0; i < comparison.after.faults.size(); ++i) {
    const decoders::FrameFaults& a = comparison.before.faults[i];
    const decoders::FrameFaults& b = comparison.after.faults[i];
    const std::string& name = comparison.after.definitions->frames[i].name;
    add(name, "counter out of step", a.counter_faults, b.counter_faults);
    add(name, "checksum wrong", a.checksum_faults, b.checksum_faults);
    add(name, "length wrong", a.wrong_length, b.wrong_length);
  }
  return table.empty() ? Html() : Tag("h3", "Frames with faults") + table.Format();
}

Html SignalTable(const Comparison& comparison) {
  if (comparison.signals.empty()) return {};
  HtmlTable table({"signal", "change", "detail"});
  for (const SignalLine& line : SignalLines(comparison)) {
    table.Add({Tag("span", {{"class", "id"}}, Html::Text(line.signal)), Html::Text(line.change),
               Html::Text(line.detail)});
  }
  const Html html =
      Tag("h3", "Signals where the car did the same") + Tag("p", Capital(SignalLead(comparison)));
  return table.empty() ? html : html + table.Format();
}

Html CheckTable(const Comparison& comparison) {
  HtmlTable table({"check", "before", "after", "what it says after"});
  std::vector<std::string> silent;
  for (const analysis::CheckPair& pair : comparison.checks) {
    if (pair.CannotTell()) {
      silent.push_back(pair.title);
      continue;
    }
    table.Add({Html::Text(pair.title), Html::Text(CheckStatusName(pair.before.status)),
               Html::Text(CheckStatusName(pair.after.status)), Html::Text(pair.after.summary)});
  }
  if (comparison.checks.empty()) return {};
  Html html = Tag("h3", "Checks");
  if (!table.empty()) html += table.Format();
  if (silent.empty()) return html;
  return html + Tag("p", "Cannot tell in either recording: " + Enumerate(silent) + ".");
}

Html UnitTable(const Comparison& comparison) {
  HtmlTable table({"unit", "installed", "before", "after"});
  for (const UnitLine& line : UnitLines(comparison)) {
    table.Add({Html::Text(line.unit), Html::Text(line.item), Html::Text(line.before),
               Html::Text(line.after)});
  }
  return Tag("h3", "Control units") + Tag("p", Capital(UnitLead(comparison))) +
         (table.empty() ? Html() : table.Format());
}

Html DefinitionTable(const Comparison& comparison) {
  HtmlTable table({"frame or signal", "problem", "before", "after", "likely new place"});
  for (const DefinitionLine& line : DefinitionLines(comparison)) {
    table.Add({Tag("span", {{"class", "id"}}, Html::Text(line.what)), Html::Text(line.problem),
               Html::Text(line.before), Html::Text(line.after), Html::Text(line.likely)});
  }
  return table.empty() ? Html() : Tag("h3", "Definitions that no longer hold") + table.Format();
}

}  // namespace

Html ChangeTables(const Comparison& comparison) {
  const Html traffic = TrafficTable(comparison.traffic);
  const Html lead = Tag("p", TrafficLead(comparison.traffic));
  return UnitTable(comparison) + DefinitionTable(comparison) + Tag("h3", "Traffic") + lead +
         traffic + SignalTable(comparison) + FaultTable(comparison) + CheckTable(comparison);
}

}  // namespace proofdrive::output
