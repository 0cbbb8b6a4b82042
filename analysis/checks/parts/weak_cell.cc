#include "analysis/checks/parts/weak_cell.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/checks/parts/cell_resistance.h"
#include "analysis/checks/parts/pulse_fit.h"
#include "analysis/physics/open_curves.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kLeastAmps = 6;       // twice what still counts as rest
constexpr double kSteadyShare = 0.05;  // of the current
constexpr double kSteadyAmps = 3;      // and at least
constexpr double kMostAge = 15;        // s to read all cells
constexpr std::size_t kFewestCells = 3;
constexpr double kLoadSeconds = 30;
// Of the charge that a cell of an even pack may be below the median: 28 mV from end to end at 9 mV
// for a per cent (used packs reach 20, service texts look closer from 20 to 50; from memory). Near
// the end of a discharge that is many millivolts.
constexpr double kEvenCharge = 0.015;

// The lowest cell at one time under load.
struct Low {
  std::size_t number = 0;  // from 1
  double volt = 0;
  double below_v = 0;  // the median
  double score = 0;    // robust z
  double amps = 0, at_s = 0;
};

// Within `tail`, in which the current is steady; nullopt with too few cells.
std::optional<Low> LowestIn(const RoleSignal& cells, const Interval& tail) {
  std::vector<double> volts;
  std::vector<std::size_t> numbers;
  for (std::size_t i = 0; i < cells.elements.size(); ++i) {
    const Track part = Between(cells.elements[i], tail.from_s, tail.to_s);
    if (part.empty()) continue;
    volts.push_back(Median(part.value));
    numbers.push_back(i + 1);
  }
  if (volts.size() < kFewestCells) return std::nullopt;
  const auto low =
      static_cast<std::size_t>(std::min_element(volts.begin(), volts.end()) - volts.begin());
  Low found;
  found.number = numbers[low];
  found.volt = volts[low];
  found.below_v = Median(volts) - volts[low];
  found.score = -ModifiedZ(volts)[low];
  return found;
}

// The worst moment of all steady loads.
std::optional<Low> Weakest(const Track& current, const RoleSignal& cells) {
  double age = 0;
  for (const Track& cell : cells.elements) age = std::max(age, 1.5 * Period(cell));
  if (age <= 0 || age > kMostAge) return std::nullopt;
  const auto band = [](double mean) {
    return std::max(kSteadyAmps, kSteadyShare * std::fabs(mean));
  };
  std::optional<Low> worst;
  for (const Interval& steady : Steady(current, 2 * age, band)) {
    const double amps = Median(Between(current, steady.from_s, steady.to_s).value);
    if (amps < kLeastAmps) continue;
    auto low = LowestIn(cells, {steady.to_s - age, steady.to_s});
    if (!low || (worst && low->below_v <= worst->below_v)) continue;
    low->amps = amps;
    low->at_s = steady.to_s;
    worst = low;
  }
  return worst;
}

// V for the whole charge, by the steepest curve that the cells may follow; 0 without one.
double Steepest(const CheckSettings& settings, double rested_v) {
  double most = 0;
  const auto curves =
      settings.curve() ? std::vector<OpenCurve>{*settings.curve()} : CurvesOf(settings.chemistry());
  for (const OpenCurve& curve : curves) {
    most = std::max(most, curve.Slope(curve.ChargeAt(rested_v)));
  }
  return most;
}

}  // namespace

void JudgeWeakCell(CheckDraft& draft, const RoleSignal& cells) {
  const CheckInput& input = draft.input();
  const auto weakest = Weakest(input.TrackOf("pack current"), cells);
  if (!weakest) return;
  draft.Add("weakest_under_load", 1000 * weakest->below_v, "mV",
            "cell " + std::to_string(weakest->number) + " below the median at " +
                Spoken(weakest->amps) + " A, when it was furthest below");
  const double limit = draft.Limit("balance.weak") / 1000;
  if (weakest->below_v < limit || weakest->score < kOutlierZ) return;
  // What the check of resistance allows a cell to have more than the others.
  const double share = draft.settings().Get("resistance.cell_look") / 100;
  const double series = CellsInSeries(input.TrackOf("pack voltage"), cells.elements);
  const double cell_ohm =
      series > 0 ? PackPulses(input, draft.settings()).Ohm(kLoadSeconds) / series : 0;
  const double load_v = cell_ohm * weakest->amps;
  const double rested_v = weakest->volt + weakest->below_v + load_v;
  const double even_v = share * load_v + kEvenCharge * Steepest(draft.settings(), rested_v);
  if (weakest->below_v < limit + even_v) return;
  draft.Judge(CheckStatus::kLookCloser,
              "cell " + std::to_string(weakest->number) + " falls away under load: " +
                  Spoken(weakest->volt) + " V at " + Spoken(weakest->amps) + " A after " +
                  SpokenSeconds(weakest->at_s) + ", " + Spoken(1000 * weakest->below_v) +
                  " mV below the median; it ends the discharge of all: less capacity, less charge "
                  "or more resistance than the others");
}

}  // namespace proofdrive::analysis
