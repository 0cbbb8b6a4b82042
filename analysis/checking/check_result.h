// What a check says, with everything it rests on. Plain values; output/ puts them into words.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/checking/track.h"
#include "analysis/standing/footing.h"

namespace proofdrive::analysis {

enum class CheckStatus {
  kOutside,     // "outside limits"
  kLookCloser,  // "look closer": near a limit, or a sign that needs eyes
  kCannotTell,  // "cannot tell": CheckResult::missing says why
  kWithin,      // "within limits": nothing in this recording contradicts them
};
std::string_view CheckStatusName(CheckStatus status);
// The one that asks for more attention.
CheckStatus Worse(CheckStatus a, CheckStatus b);

// Where a limit comes from.
enum class Mark {
  kPublished,   // "looked up"
  kFromMemory,  // "from memory"
  kProposal,    // "proposal": a choice of this tool, can be set
  kUser,        // "set by you"
};
std::string_view MarkName(Mark mark);

struct UsedLimit {
  std::string name;  // of the setting, or of a published limit
  double value = 0;
  std::string unit;
  Mark mark = Mark::kProposal;
  std::string source;
};

// One number that was found.
struct Figure {
  std::string name;  // "resistance_per_volt"
  double value = 0;
  std::string unit;
  std::optional<double> uncertainty;  // one standard deviation, same unit
  std::string detail;                 // what it is made from
};

struct RoleUse {
  std::string role;
  bool needed = false;
  std::vector<std::string> signals;  // empty = the recording has none that can be used
};

// Stretches of the recording that were used or left out, and why.
struct Window {
  bool used = true;
  std::string what;
  Intervals intervals;
};

// How a curve is drawn.
enum class CurveShape {
  kLine,    // over time
  kPoints,  // pairs that belong to no order
  kBars,    // one per number of a cell
};

// A level to draw across.
struct CurveLevel {
  double y = 0;
  std::string name;
};

// Points a person would want to see drawn. `x` never falls.
struct Curve {
  std::string name;
  std::string x_name, x_unit;
  std::string y_name, y_unit;
  std::vector<double> x, y;
  CurveShape shape = CurveShape::kLine;
  std::vector<CurveLevel> levels = {};
  // What is to be expected at the same `x`, and what that is; empty = not known.
  std::vector<double> expected = {};
  std::string expected_name = {};
  // Those of `x` that stand out.
  std::vector<double> marked = {};
};

// A finding about neighbours among the cells.
struct CellFinding {
  std::size_t first = 0, last = 0;  // numbers as sent, from 1
  std::string sentence;             // stands in CheckResult::findings, too
};

// The name of the check of the signals themselves, which comes first.
inline constexpr std::string_view kSignalsCheck = "signals";
// The first check of all: definitions against each other.
inline constexpr std::string_view kDefinitionsCheck = "definitions";

struct CheckResult {
  std::string name;   // of the row in the table
  std::string title;  // for people
  CheckStatus status = CheckStatus::kCannotTell;
  // "Cannot tell" because what it needs never came; otherwise because of what came.
  bool nothing_judged = false;
  std::string summary;                // one sentence: the answer
  std::vector<Footing> stands_on;     // the signals it uses, those it needs first
  std::string proviso;                // what the answer adds to the summary; see guesses.h
  std::vector<std::string> measured;  // what hand measurements say of its signals
  std::vector<std::string> findings;  // further sentences, most important first
  std::vector<CellFinding> of_cells;  // those of them that point to a place among the cells
  // What this check and others say of one place, with the first of them only; see joined_places.h.
  std::vector<std::string> joined;
  std::vector<std::string> missing;  // what would be needed to tell
  std::vector<std::string> alike;    // what else would look the same
  std::vector<Figure> figures;
  std::vector<UsedLimit> limits;
  std::vector<RoleUse> roles;
  std::vector<Window> windows;
  std::vector<Curve> curves;

  // The answer as it is shown: never without what it rests on.
  std::string FirstSentence() const { return summary + proviso; }
  // nullptr when there is none of this name.
  const Figure* FindFigure(std::string_view figure) const;
};

// The check of the signals themselves, which has looked at everything that has a role; nullptr when
// it is not among them.
const CheckResult* SignalsResult(std::span<const CheckResult> results);

}  // namespace proofdrive::analysis
