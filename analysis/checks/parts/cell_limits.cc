#include "analysis/checks/parts/cell_limits.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include "analysis/checks/parts/cold_charge.h"
#include "analysis/checks/parts/weak_cell.h"
#include "analysis/physics/cell_curve.h"
#include "analysis/statistics/summaries.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

constexpr std::size_t kMostDisturbed = 2;  // single readings that are not believed
constexpr double kIronFull = 3.65;  // data sheets of iron phosphate: 3.60 - 3.65 V, looked up
constexpr double kNotIron = 3.75;   // alarms of iron phosphate (from memory)
// V below "empty": beyond recovery. Service practice replaces nickel cells that were below 2.0 V
// and iron phosphate from 1.5 - 1.8 V (from memory).
constexpr double kFarBelow = 0.5, kIronFarBelow = 0.3;
constexpr double kNearZero = 0.5;  // V
// Lithium titanate: cars keep it above 1.7 V under load, rested and empty it has 2.0 V (from
// memory; 1.8 V computed from published curves), full 2.8 V. pack.chemistry has no word for it.
constexpr double kTitanateLow = 1.7, kTitanateHigh = 2.85;

// Lowest and highest reading of one cell but the few most extreme ones.
struct Extremes {
  std::size_t number = 0;
  double low = 0, high = 0;
};

std::optional<Extremes> ExtremesOf(const Track& cell, std::size_t number) {
  constexpr std::size_t kKept = kMostDisturbed + 1;
  if (cell.size() < kKept) return std::nullopt;
  std::array<double, kKept> low, high;
  low.fill(std::numeric_limits<double>::infinity());
  high.fill(-std::numeric_limits<double>::infinity());
  for (const double volt : cell.value) {
    if (volt < low.back()) {
      low.back() = volt;
      std::sort(low.begin(), low.end());
    }
    if (volt > high.front()) {
      high.front() = volt;
      std::sort(high.begin(), high.end());
    }
  }
  return Extremes{number, low.back(), high.front()};
}

struct VoltageLimits {
  double full = 0, over = 0;        // V
  double empty = 0, far_below = 0;  // V; V below it
  std::string of;
};

VoltageLimits LimitsOf(CheckDraft& draft, double middle_high) {
  const CheckSettings& settings = draft.settings();
  const UsedLimit stated = settings.Limit("pack.cell_most");
  const Chemistry chemistry = settings.chemistry();
  const bool iron = chemistry == Chemistry::kLfp;
  VoltageLimits limits;
  limits.full = iron && stated.mark != Mark::kUser ? kIronFull : stated.value;
  limits.over = draft.Limit("balance.over");
  const bool nickel = chemistry == Chemistry::kNmc || (!iron && middle_high > kNotIron);
  limits.empty = draft.Limit(nickel ? "balance.empty" : "balance.empty_iron");
  limits.far_below = nickel ? kFarBelow : kIronFarBelow;
  limits.of = nickel ? "nickel or manganese cells"
              : iron ? "iron phosphate cells"
                     : "any cells but lithium titanate";
  return limits;
}

std::string CellsText(const std::vector<Extremes>& cells) {
  if (cells.size() == 1) return "cell " + std::to_string(cells.front().number) + " was";
  return CountOf(cells.size(), "cell") + " (the first is number " +
         std::to_string(cells.front().number) + ") were";
}

void JudgeOver(CheckDraft& draft, const std::vector<Extremes>& all, const VoltageLimits& limits) {
  std::vector<Extremes> over;
  double most = 0;
  for (const Extremes& cell : all) {
    most = std::max(most, cell.high);
    if (cell.high > limits.full + limits.over) over.push_back(cell);
  }
  draft.Add("highest_cell_voltage", most, "V", "of any cell, two single readings left out");
  if (over.empty()) return;
  draft.Judge(
      most > limits.full + 2 * limits.over ? CheckStatus::kOutside : CheckStatus::kLookCloser,
      CellsText(over) + " charged to " + Spoken(most) + " V; full is " + Spoken(limits.full) +
          " V: over-charged, or pack.cell_most or the scale is wrong; do not charge");
}

void JudgeUnder(CheckDraft& draft, const std::vector<Extremes>& all, const VoltageLimits& limits) {
  std::vector<Extremes> under;
  double least = std::numeric_limits<double>::infinity();
  bool titanate = draft.settings().chemistry() == Chemistry::kUnknown;
  for (const Extremes& cell : all) {
    least = std::min(least, cell.low);
    titanate = titanate && cell.low >= kTitanateLow && cell.high <= kTitanateHigh;
    if (cell.low < limits.empty) under.push_back(cell);
  }
  draft.Add("lowest_cell_voltage", least, "V", "of any cell, two single readings left out");
  if (under.empty()) return;
  const std::string text = CellsText(under) + " as low as " + Spoken(least) + " V";
  if (least < kNearZero) {
    draft.Judge(CheckStatus::kOutside, text +
                                           ": near zero or reversed, or its sense lead is open; "
                                           "never charge such a cell");
    return;
  }
  const bool far = least < limits.empty - limits.far_below && !titanate;
  draft.Judge(far ? CheckStatus::kOutside : CheckStatus::kLookCloser,
              text + ", below the " + Spoken(limits.empty) + " V of " + limits.of +
                  ": deeply discharged; do not charge before it was looked at");
}

}  // namespace

void JudgeCellLimits(CheckDraft& draft) {
  const RoleSignal* cells = draft.input().Find("cell voltages");
  if (cells == nullptr) return;
  std::vector<Extremes> all;
  std::vector<double> highs;
  for (std::size_t i = 0; i < cells->elements.size(); ++i) {
    const auto extremes = ExtremesOf(cells->elements[i], i + 1);
    if (!extremes) continue;
    all.push_back(*extremes);
    highs.push_back(extremes->high);
  }
  if (all.empty()) return;
  const VoltageLimits limits = LimitsOf(draft, Median(highs));
  JudgeOver(draft, all, limits);
  JudgeUnder(draft, all, limits);
  JudgeWeakCell(draft, *cells);
  const bool titanate = Median(highs) <= kTitanateHigh;
  if (!titanate) JudgeColdCharge(draft);
}

}  // namespace proofdrive::analysis
