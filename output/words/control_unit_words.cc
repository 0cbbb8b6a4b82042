#include "output/words/control_unit_words.h"

#include "core/base/text.h"
#include "decoders/services/service_names.h"
#include "output/words/code_words.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using analysis::InstalledItem;
using analysis::UnitComparison;

std::string Number(std::uint16_t identifier) {
  const std::uint8_t bytes[] = {static_cast<std::uint8_t>(identifier >> 8),
                                static_cast<std::uint8_t>(identifier & 0xFF)};
  return HexBytes(bytes, "");
}

std::string Told(const InstalledItem& item, const std::optional<std::vector<std::uint8_t>>& data) {
  return data ? IdentifierText(item.identifier, *data, false) : "not told";
}

// Of units that answered: how many told what is installed in both sessions.
struct UnitCounts {
  std::size_t comparable = 0;
  std::size_t changed = 0;
  std::vector<std::string> silent_after;
};

UnitCounts Count(const Comparison& comparison) {
  UnitCounts counts;
  for (const UnitComparison& unit : comparison.units) {
    if (unit.Comparable()) ++counts.comparable;
    if (unit.Changed()) ++counts.changed;
    if (unit.answered_before && !unit.answered_after) counts.silent_after.push_back(unit.unit);
  }
  return counts;
}

}  // namespace

std::vector<UnitLine> UnitLines(const Comparison& comparison) {
  std::vector<UnitLine> lines;
  for (const UnitComparison& unit : comparison.units) {
    // A unit that told nothing in one session is named once, not line by line.
    if (!unit.Comparable()) continue;
    for (const InstalledItem& item : unit.installed) {
      if (item.before == item.after) continue;
      lines.push_back({unit.unit,
                       Number(item.identifier) + " " + decoders::IdentifierWords(item.identifier),
                       Told(item, item.before), Told(item, item.after)});
    }
  }
  return lines;
}

std::string UnitLead(const Comparison& comparison) {
  if (comparison.units.empty()) {
    return "no control unit answered anybody in either session, so trouble codes and versions "
           "cannot be compared (proofdrive codes and identify ask for them while recording).";
  }
  const UnitCounts counts = Count(comparison);
  std::string text =
      counts.comparable == 0
          ? "none told in both sessions what is installed in it (proofdrive identify asks)"
          : CountOf(counts.comparable, "control unit") +
                " told in both sessions what is installed; " +
                (counts.changed == 0
                     ? "nothing differs"
                     : FormatCount(counts.changed) +
                           (counts.changed == 1 ? " of them differs" : " of them differ"));
  text += ".";
  if (!counts.silent_after.empty()) {
    text += " In the after-session nothing was heard of " + Enumerate(counts.silent_after) +
            ", which answered before.";
  }
  return text;
}

std::vector<DefinitionLine> DefinitionLines(const Comparison& comparison) {
  std::vector<DefinitionLine> lines;
  for (const analysis::DefinitionChange& change : comparison.definitions) {
    DefinitionLine line;
    line.what = change.signal.empty() ? change.frame : change.signal;
    line.problem = change.what;
    line.before = change.before;
    line.after = change.after;
    if (!change.places.empty()) {
      const analysis::LikelyPlace& place = change.places.front();
      line.likely = StreamText(place.stream) + " on " + place.stream.bus + ": " + place.why;
    }
    lines.push_back(std::move(line));
  }
  return lines;
}

}  // namespace proofdrive::output
