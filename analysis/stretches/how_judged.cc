#include "analysis/stretches/how_judged.h"

namespace proofdrive::analysis {
namespace {

// What needs values of one moment, or events of a second, is nothing for thinned signals. What
// speaks of the end, of hours, or of states alone (of which every change is kept) is nothing for
// stretches. The others are both.
constexpr HowJudged kRows[] = {
    {"definitions", true, false, false, false}, {"signals", true, true, true, false},
    {"insulation", true, true, true, false},    {"cooling", true, true, false, false},
    {"balance", true, true, true, false},       {"resistance", true, false, false, false},
    {"contactors", true, false, false, false},  {"supply", true, false, false, true},
    {"capacity", false, true, true, false},     {"range", false, true, true, false},
    {"interlock", false, true, true, false},    {"standby", false, true, true, false},
};

}  // namespace

HowJudged HowIsJudged(std::string_view check) {
  for (const HowJudged& row : kRows) {
    if (row.check == check) return row;
  }
  return {check};
}

}  // namespace proofdrive::analysis
