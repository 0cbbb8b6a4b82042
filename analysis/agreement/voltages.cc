#include "analysis/agreement/voltages.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/agreement/track_ratio.h"
#include "analysis/checking/rest.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr std::size_t kFewest = 5;  // readings
constexpr std::size_t kMostSums = 500;
constexpr int kMostStrings = 4;
constexpr double kLeastVolt = 20;
// Terminals with less than this of the cells, or a link with less than this of the pack, are open:
// string, fuse, disconnect or contactor.
constexpr double kOpenShare = 0.55;
constexpr double kLeastRest = 10;   // s
constexpr double kWithoutRest = 2;  // times the tolerance
constexpr double kSettle = 2;       // s after closing
constexpr double kLoad = 20;        // A that no open path carries
constexpr double kThousand = 0.05;  // an open string is never so near to a thousandth

// With less than this of the pack in cells that read like cells at rest, some are not described:
// cells scaled down that far would not read like cells (NMC and LFP rest at 3.2 - 4.2 V, from
// memory).
constexpr double kFewCells = 0.75;
constexpr double kCellLow = 3.0, kCellHigh = 4.35;  // V

enum class Answer { kNone, kAgree, kContradict };

struct Compared {
  Answer answer = Answer::kNone;
  double left = 0, right = 0;  // V
  int strings = 1;             // of cells that agree
  std::string text;            // of a contradiction
};

// Whether the pack carried current, so that its path was closed.
bool CarriedCurrent(const CheckInput& input) {
  const Track& current = input.TrackOf("pack current");
  return std::count_if(current.value.begin(), current.value.end(), [](double amps) {
           return std::fabs(amps) >= kLoad;
         }) >= static_cast<std::ptrdiff_t>(kFewest);
}

Intervals WhereLoaded(const CheckInput& input) {
  const Track& current = input.TrackOf("pack current");
  return Where(current, CheckInput::Gap(current),
               [](double amps) { return std::fabs(amps) >= kLoad; });
}

// The sum of the cells over time; empty when one of them is never there.
Track SumOf(const RoleSignal& cells, const Intervals& when) {
  Track sums;
  for (const Track& cell : cells.elements) {
    if (cell.empty()) return sums;
  }
  const Track times = Thinned(KeepIn(cells.elements.front(), when), kMostSums);
  std::vector<double> ages;
  for (const Track& cell : cells.elements) ages.push_back(CheckInput::Gap(cell));
  for (const double at : times.time_s) {
    double sum = 0;
    bool all = true;
    for (std::size_t i = 0; all && i < cells.elements.size(); ++i) {
      const auto volt = ValueAt(cells.elements[i], at, ages[i]);
      all = volt.has_value();
      sum += volt.value_or(0);
    }
    if (all) sums.Add(at, sum);
  }
  return sums;
}

std::string Volts(double volt) { return Spoken(volt) + " V"; }

// How many strings in parallel make the sum fit; 0: none.
int StringsOf(double ratio, double tolerance) {
  for (int strings = 1; strings <= kMostStrings; ++strings) {
    if (Near(ratio, strings, tolerance)) return strings;
  }
  return 0;
}

// Some may not be described, or not be sent.
bool AllCells(CheckDraft& draft, const RoleSignal& cells) {
  const double known = draft.settings().Get("pack.cells");
  const bool silent = std::any_of(cells.elements.begin(), cells.elements.end(),
                                  [](const Track& cell) { return cell.empty(); });
  const bool few = known > 0 && static_cast<double>(cells.elements.size()) < known;
  if (silent || few) {
    draft.Remark(
        "the cells cannot be added up: " +
        std::string(silent ? "some bring no value" : "fewer are described than pack.cells"));
  }
  return !silent && !few;
}

// When to compare, and how far from the same is no wrong scale. Without rest, drops under load and
// readings of different moments count, too.
struct Terms {
  Intervals quiet;
  double tolerance = 0;
};

Terms TermsOf(Agreement& agreement) {
  const CheckInput& input = agreement.input();
  const double tolerance = agreement.draft().Limit("definitions.voltage") / 100;
  Intervals quiet = RestingTime(input, agreement.draft().settings());
  const bool rests = input.Find("pack current") != nullptr && TotalLength(quiet) >= kLeastRest;
  if (rests) return {std::move(quiet), tolerance};
  return {{{0, input.length_s}}, kWithoutRest * tolerance};
}

Compared CompareCells(Agreement& agreement, const Terms& terms) {
  Compared compared;
  const CheckInput& input = agreement.input();
  CheckDraft& draft = agreement.draft();
  const RoleSignal* cells = input.Find("cell voltages");
  const Track& pack = input.TrackOf("pack voltage");
  if (cells == nullptr || pack.empty() || !AllCells(draft, *cells)) return compared;
  const double tolerance = terms.tolerance;
  const Ratio ratio = RatioOf(SumOf(*cells, terms.quiet), pack, terms.quiet, 1e-3);
  if (ratio.count < kFewest) return compared;
  draft.Add("cells_against_pack", ratio.middle, "", "sum of the cells over pack voltage, at rest");
  compared.left = ratio.a;
  compared.right = ratio.b;
  const std::string both =
      "cells add up to " + Volts(ratio.a) + ", the pack says " + Volts(ratio.b);
  if (const int strings = StringsOf(ratio.middle, tolerance); strings > 0) {
    compared.answer = Answer::kAgree;
    compared.strings = strings;
    compared.left /= strings;
    agreement.Agrees(
        both + (strings > 1 ? ", as " + std::to_string(strings) + " strings in parallel" : ""));
    return compared;
  }
  if (!ratio.Steady(tolerance)) {
    draft.Remark(both + ", and not all the time: that is the car, no scale");
    return compared;
  }
  const bool low = ratio.middle > 1 / kOpenShare;
  const bool is_unit = std::fabs(ratio.middle / 1000 - 1) < kThousand;
  if (low && !is_unit && !CarriedCurrent(input)) {
    agreement.Either(both + ": either a scale is wrong or the string is open");
    return compared;
  }
  const double cell = ratio.a / static_cast<double>(cells->elements.size());
  if (ratio.middle < kFewCells && cell > kCellLow && cell < kCellHigh) {
    agreement.Either(both + ": either not all cells are described or a scale is wrong");
    return compared;
  }
  compared.answer = Answer::kContradict;
  compared.text =
      both + "; one scale is wrong" + (ratio.middle < 1 ? ", or not all cells are described" : "");
  return compared;
}

Compared CompareLink(Agreement& agreement, const Terms& terms, const Compared& cells) {
  Compared compared;
  const CheckInput& input = agreement.input();
  CheckDraft& draft = agreement.draft();
  const Track& link = input.TrackOf("link voltage");
  const Track& pack = input.TrackOf("pack voltage");
  const Intervals closed =
      WithoutHead(input.WhereState("contactor state", {Meaning::kClosed}), kSettle);
  if (link.empty() || pack.empty() || closed.empty()) return compared;
  const double tolerance = terms.tolerance;
  const Ratio still = RatioOf(link, pack, Both(closed, terms.quiet), kLeastVolt);
  if (still.count < kFewest) return compared;
  draft.Add("link_against_pack", still.middle, "",
            "link over pack voltage with the contactors closed and hardly any current");
  compared.left = still.a;
  compared.right = still.b;
  const std::string both = "with the contactors closed the link has " + Volts(still.a) +
                           ", the pack says " + Volts(still.b);
  if (Near(still.middle, 1, tolerance)) {
    compared.answer = Answer::kAgree;
    agreement.Agrees(both);
    return compared;
  }
  if (still.middle < kOpenShare || !still.Steady(tolerance)) return compared;
  // What is left of the path would show it under load.
  const Ratio loaded = RatioOf(link, pack, Both(closed, WhereLoaded(input)), kLeastVolt);
  const bool as_loaded = loaded.count >= kFewest && Near(loaded.middle, still.middle, tolerance);
  // Cells stand before the contactors: when they say the same, these are not it.
  const bool as_cells = cells.answer == Answer::kContradict && Near(still.a, cells.left, tolerance);
  if (still.middle < 1 && !as_loaded && !as_cells) {
    agreement.Either(both + ": either a scale is wrong or a contactor does not close fully");
    return compared;
  }
  compared.answer = Answer::kContradict;
  compared.text = both + "; one scale is wrong";
  return compared;
}

}  // namespace

void CompareVoltages(Agreement& agreement) {
  const Terms terms = TermsOf(agreement);
  const Compared cells = CompareCells(agreement, terms);
  const Compared link = CompareLink(agreement, terms, cells);
  const bool cells_wrong = cells.answer == Answer::kContradict;
  const bool link_wrong = link.answer == Answer::kContradict;
  if (cells_wrong && link_wrong && Near(link.left, cells.left, terms.tolerance)) {
    agreement.Contradicts({"pack voltage"}, "cells add up to " + Volts(cells.left) +
                                                " and the link has " + Volts(link.left) +
                                                ", the pack says " + Volts(cells.right) +
                                                "; the scale of the pack voltage is wrong");
  } else if (cells_wrong) {
    agreement.Contradicts({"cell voltages", "pack voltage"}, cells.text);
    if (link_wrong) agreement.Contradicts({"link voltage"}, link.text);
  } else if (link_wrong && cells.answer == Answer::kAgree && cells.strings == 1) {
    agreement.Contradicts({"link voltage"}, "with the contactors closed the link has " +
                                                Volts(link.left) + ", pack and cells say " +
                                                Volts(link.right) +
                                                "; the scale of the link voltage is wrong");
  } else if (link_wrong) {
    // Cells may have been taken for those of more strings than there are.
    agreement.Contradicts({"link voltage", "pack voltage", "cell voltages"}, link.text);
  }
}

}  // namespace proofdrive::analysis
