#include "analysis/checks/parts/weak_cell.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/checks/parts/pulse_fit.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kLeastAmps = 6;       // twice what still counts as rest
constexpr double kSteadyShare = 0.05;  // of the current
constexpr double kSteadyAmps = 3;      // and at least
constexpr double kMostAge = 15;        // s to read all cells
constexpr std::size_t kFewestCells = 3;

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
  const double cell_ohm =
      PackPulses(input, draft.settings()).Ohm(2) / static_cast<double>(cells.elements.size());
  if (weakest->below_v < limit + share * cell_ohm * weakest->amps) return;
  draft.Judge(CheckStatus::kLookCloser,
              "cell " + std::to_string(weakest->number) + " falls away under load: " +
                  Spoken(weakest->volt) + " V at " + Spoken(weakest->amps) + " A after " +
                  SpokenSeconds(weakest->at_s) + ", " + Spoken(1000 * weakest->below_v) +
                  " mV below the median; it ends the discharge of all: less capacity, less charge "
                  "or more resistance than the others");
}

}  // namespace proofdrive::analysis
