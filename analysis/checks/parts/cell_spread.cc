#include "analysis/checks/parts/cell_spread.h"

#include <algorithm>
#include <cmath>

#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kNotIron = 3.75;  // V, alarms of iron phosphate (from memory)
constexpr double kHalfCharge = 9;  // mV/%, the steepest of the nickel curves at half charge
// That the scatter of an even pack puts any of its cells so far out (proposal).
constexpr double kChance = 0.001;

// From this voltage on, the steepest of two published curves of iron phosphate, mV/% (looked up:
// slopes computed from their half-cell functions).
struct Slope {
  double from_v, mv_per_percent;
};
constexpr double kPlateauLow = 3.20, kPlateauHigh = 3.345;  // V at rest
constexpr Slope kIron[] = {
    {3.60, kHalfCharge}, {kPlateauHigh, 50}, {kPlateauLow, kHalfCharge}, {3.06, 27}, {-10, 110}};
constexpr double kMostPerPercent = 80;  // below every curve
constexpr double kAroundVolt = 0.02;    // cells of one pack lie within so much

double IronAt(double volt) {
  for (const Slope& slope : kIron) {
    if (volt >= slope.from_v) return slope.mv_per_percent;
  }
  return kHalfCharge;
}

// The steepest of the published curves of nickel and manganese near this voltage, mV/%.
double NickelAt(const std::vector<OpenCurve>& curves, double volt) {
  double most = 0;
  for (const OpenCurve& curve : curves) {
    // Manganese spinel is nearly empty where nickel is half full: only where it is stated.
    if (curves.size() > 1 && curve.name() == "lmo") continue;
    for (const double at : {volt - kAroundVolt, volt, volt + kAroundVolt}) {
      most = std::max(most, 10 * curve.Slope(std::clamp(curve.ChargeAt(at), 0.0, 1.0)));
    }
  }
  return std::min(most, kMostPerPercent);
}

}  // namespace

CellKind KindOfCells(const CheckInput& input, const CheckSettings& settings) {
  const Chemistry chemistry = settings.chemistry();
  if (settings.curve()) return {.iron = false, .nickel = {*settings.curve()}};
  if (chemistry == Chemistry::kNmc) return {.iron = false, .nickel = CurvesOf(chemistry)};
  if (chemistry == Chemistry::kLfp) return {.iron = true, .nickel = {}};
  const RoleSignal* cells = input.Find("cell voltages");
  std::vector<double> highs;
  for (const Track& cell : cells->elements) {
    if (!cell.empty()) highs.push_back(*std::max_element(cell.value.begin(), cell.value.end()));
  }
  return {.iron = Median(std::move(highs)) < kNotIron, .nickel = CurvesOf(chemistry)};
}

double Steepness(const CellKind& kind, double volt) {
  double slope = kHalfCharge;
  slope = std::max(slope, NickelAt(kind.nickel, volt));
  if (kind.iron) slope = std::max(slope, IronAt(volt));
  return slope / kHalfCharge;
}

bool OnPlateau(const CellKind& kind, double volt) {
  return kind.iron && volt >= kPlateauLow && volt < kPlateauHigh;
}

double StandsOutBy(const std::vector<double>& offset_mv) {
  const double scatter = RobustSpread(offset_mv, 0);
  const double least =
      std::sqrt(2 * std::log(static_cast<double>(offset_mv.size()) / kChance)) * scatter;
  double widest = 0;
  for (const double offset : offset_mv) widest = std::max(widest, std::fabs(offset));
  return widest > least ? widest : 0;
}

void JudgeSpread(CheckDraft& draft, double spread_mv, const SpreadTerms& terms,
                 const std::string& where) {
  const double note = draft.Limit("balance.note");
  const double look = draft.Limit("balance.look");
  const double most = draft.Limit("balance.most");
  const double steep = Steepness(terms.kind, terms.middle_v);
  const std::string text = "cells differ by " + Spoken(spread_mv) + " mV " + where;
  if (spread_mv > most * steep + terms.relaxing_mv || terms.outlier_mv > most + terms.relaxing_mv) {
    draft.Judge(CheckStatus::kOutside, text);
  } else if (spread_mv > look * steep + terms.relaxing_mv ||
             terms.outlier_mv > look + terms.relaxing_mv) {
    draft.Judge(CheckStatus::kLookCloser, text);
  } else if (spread_mv > look * steep || terms.outlier_mv > look) {
    draft.Missing("a longer rest: " + text + ", and what is left of the load before may be " +
                  Spoken(terms.relaxing_mv) + " mV of it");
  } else if (OnPlateau(terms.kind, terms.middle_v)) {
    draft.Judge(CheckStatus::kCannotTell,
                text + " at " + Spoken(terms.middle_v) +
                    " V, which says little if they are iron phosphate: on its plateau 10 mV can be "
                    "30 % of the charge (published); judge them nearly empty or nearly full");
  } else if (spread_mv > look) {
    draft.Judge(CheckStatus::kWithin, text + "; at " + Spoken(terms.middle_v) +
                                          " V one percent of charge can be " +
                                          Spoken(steep * kHalfCharge) + " mV");
  } else {
    draft.Judge(CheckStatus::kWithin, text + (spread_mv > note ? ", worth a note" : ""));
  }
}

}  // namespace proofdrive::analysis
