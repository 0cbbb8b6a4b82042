#include "analysis/stretches/how_judged.h"

namespace proofdrive::analysis {
namespace {

// What needs values of one moment, or events of a second, is nothing for thinned signals. What
// speaks of the end, of hours, or of states alone (of which every change is kept) is nothing for
// stretches. The others are both.
constexpr HowJudged kRows[] = {
    {"definitions", true, false, false},
    {"signals", true, true, true},
    {"insulation", true, true, true},
    {"cooling", true, true, false},
    {"balance", true, true, true},
    {"resistance", true, false, false, false, "", "pack_resistance"},
    // One closing of which nothing is known is enough; a stretch without any is not asked.
    {"precharge", true, false, false, true, "closing_share"},
    {"contactors", true, false, false},
    {"supply", true, false, false, true},
    {"capacity", false, true, true},
    {"range", false, true, true},
    {"interlock", false, true, true},
    {"standby", false, true, true},
};

}  // namespace

HowJudged HowIsJudged(std::string_view check) {
  for (const HowJudged& row : kRows) {
    if (row.check == check) return row;
  }
  return {check};
}

}  // namespace proofdrive::analysis
