#include "analysis/checks/resistance_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/checks/parts/cell_resistance.h"
#include "analysis/checks/parts/clipped_current.h"
#include "analysis/checks/parts/pulse_fit.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

constexpr std::size_t kFewestCells = 3;
constexpr double kSure = 3;         // errors of a cell by which it must stand out
constexpr double kLinkSure = 2;     // and of the links
constexpr double kMostError = 0.1;  // of the median: beyond, the cells cannot be told apart
constexpr double kEndSeconds = 30;
constexpr double kPulseSeconds = 2;

// Cells that are described and were never read: nothing is known of them.
void TellNeverRead(CheckDraft& draft, const RoleSignal& cells) {
  std::size_t first = 0;
  std::size_t count = 0;
  for (std::size_t i = cells.elements.size(); i-- > 0;) {
    if (!cells.elements[i].empty()) continue;
    first = i + 1;
    ++count;
  }
  if (count == 0) return;
  draft.Missing(CountOf(count, "cell") + " (the first is number " + std::to_string(first) +
                ") that " + (count == 1 ? "was" : "were") +
                " never received: nothing is known of " + (count == 1 ? "it" : "them"));
}

// In mohm over about two seconds: the pack's own figure shared out as the cells' dynamic ones are.
CellOhms Scaled(CellOhms cells, double pack_ohm) {
  const double dynamic = cells.share_ohm * cells.series;
  const double scale = pack_ohm > 0 && dynamic > 0 ? pack_ohm / dynamic : 1;
  for (double& ohm : cells.ohm) ohm *= scale;
  for (double& error : cells.error) error *= scale;
  return cells;
}

Curve CurveOf(const CellOhms& cells, double middle, double look) {
  Curve curve{"resistance per cell", "cell", "", "resistance", "mohm", {}, {}};
  for (std::size_t i = 0; i < cells.cell.size(); ++i) {
    curve.x.push_back(static_cast<double>(cells.cell[i] + 1));
    curve.y.push_back(1000 * cells.ohm[i]);
  }
  curve.shape = CurveShape::kBars;
  curve.levels = {{1000 * middle, "median"},
                  {1000 * middle * (1 + look / 100), "+" + Spoken(look) + " %"}};
  return curve;
}

void JudgeCells(CheckDraft& draft, const CellOhms& cells) {
  const double middle = Median(cells.ohm);
  const double error = Median(cells.error);
  if (middle <= 0 || error > kMostError * middle) {
    draft.Missing("current that changes more, to tell the resistances of the cells apart");
    return;
  }
  const std::vector<double> scores = ModifiedZ(cells.ohm);
  const double look = draft.Limit("resistance.cell_look");
  const double most = draft.Limit("resistance.cell_most");
  draft.Add("cell_resistance_median", 1000 * middle, "mohm",
            "over about 2 s and for each ampere of the pack; spread of the cells",
            1000 * RobustSpread(cells.ohm, middle));
  Curve curve = CurveOf(cells, middle, look);
  bool any = false;
  for (std::size_t i = 0; i < cells.ohm.size(); ++i) {
    const double above = 100 * (cells.ohm[i] / middle - 1);
    if (above < look || scores[i] < kOutlierZ) continue;
    if (cells.ohm[i] - middle < kSure * cells.error[i]) continue;
    any = true;
    curve.marked.push_back(curve.x[i]);
    const std::string cell = std::to_string(cells.cell[i] + 1);
    draft.Add("cell_" + cell + "_resistance", 1000 * cells.ohm[i], "mohm",
              Spoken(above) + " % above the median, robust z " + Spoken(scores[i]),
              1000 * cells.error[i]);
    draft.Judge(above > most ? CheckStatus::kOutside : CheckStatus::kLookCloser,
                "cell " + cell + " has " + Spoken(above) +
                    " % more resistance than the median: a lost parallel cell, a weak joint, or a "
                    "cell going away");
  }
  draft.Add(std::move(curve));
  if (any) return;
  draft.Judge(CheckStatus::kWithin, "no cell has more than " + Spoken(look) +
                                        " % above the median resistance of " +
                                        Spoken(1000 * middle) + " mohm");
}

void JudgeLinks(CheckDraft& draft, const CellOhms& cells) {
  if (!cells.links_known) {
    draft.Missing(
        "every cell received often enough while the current changes, for the resistance "
        "of the links");
    return;
  }
  draft.Add("link_resistance", 1000 * cells.link_ohm, "mohm",
            "how sum of cells less pack voltage changes with the current, " +
                std::to_string(cells.readings) +
                " readings; 0.3 % difference in gain of the "
                "instruments is in the uncertainty",
            1000 * cells.link_error);
  draft.Add("link_offset", cells.offset_v, "V", "the same without current: the instruments differ");
  // Cells in parallel share the current.
  double sum = 0;
  for (const double ohm : cells.ohm) sum += ohm;
  sum *= cells.series / static_cast<double>(cells.ohm.size());
  if (sum <= 0) return;
  const double share = 100 * cells.link_ohm / sum;
  draft.Add("link_share", share, "%", "of the sum of the cells' resistances",
            100 * cells.link_error / sum);
  if (share - kLinkSure * 100 * cells.link_error / sum < draft.Limit("resistance.link")) return;
  draft.Judge(CheckStatus::kLookCloser,
              "links and joints have " + Spoken(1000 * cells.link_ohm) + " mohm, " + Spoken(share) +
                  " % of the cells' sum: a loose or corroded joint, or long leads");
}

void TellClipped(CheckDraft& draft, const ClippedCurrent& clipped) {
  if (clipped.values == 0) return;
  draft.Remark("the current sensor ends at " + Spoken(clipped.at_a) + " A and was there " +
               CountOf(clipped.values, "time") +
               ": more flowed than it says; what it said then is left out here");
}

void TellTemperature(CheckDraft& draft) {
  const RoleSignal* cells = draft.input().Find("cell temperatures");
  if (cells == nullptr) return;
  std::vector<double> all;
  std::vector<double> rises;
  const double end = draft.input().length_s;
  for (const Track& track : cells->elements) {
    if (track.empty()) continue;
    all.push_back(Median(track.value));
    const Track last = Between(track, end - kEndSeconds, end);
    if (!last.empty()) rises.push_back(Median(last.value) - track.value.front());
  }
  draft.Add("cell_temperature", Median(all), "degC",
            "compare resistances at equal temperature only: 15 degC instead of 25 degC is x 1.34");
  draft.Add("cell_temperature_rise", Mean(rises), "K", "mean of the sensors, end less start");
}

void JudgeEveryCell(CheckDraft& draft, const Track& current, double pack_ohm) {
  const CheckInput& input = draft.input();
  const RoleSignal* signal = input.Find("cell voltages");
  if (signal == nullptr) {
    draft.Missing("cell voltages, for the resistance of each cell");
    return;
  }
  TellNeverRead(draft, *signal);
  const CellOhms cells = FitCellOhms(input.TrackOf("pack voltage"), signal->elements, current,
                                     draft.settings().Get("rest.current"));
  if (cells.cell.size() < kFewestCells || cells.share_ohm <= 0) {
    draft.Missing("more changes of current, for the resistance of each cell");
    return;
  }
  JudgeCells(draft, Scaled(cells, pack_ohm));
  JudgeLinks(draft, cells);
}

}  // namespace

void CheckResistance(CheckDraft& draft) {
  draft.Alike("a cold pack: every cell has more resistance, none stands out");
  draft.Alike("a low state of charge: resistance rises below about 30 % on healthy cells");
  draft.Alike("voltages and current that are not of the same moment");
  draft.Limit("resistance.step");
  TellTemperature(draft);
  const CheckInput& input = draft.input();
  const ClippedCurrent clipped =
      WithoutClipped(*input.Find("pack current"), input.TrackOf("pack voltage"));
  TellClipped(draft, clipped);
  const double least = LeastStep(draft.settings());
  const PulseFit pulses(input.TrackOf("pack voltage"), clipped.current, least);
  const bool known = pulses.known() && pulses.Ohm(kPulseSeconds) > 0;
  if (known) {
    draft.Used("minutes in which the current changes", pulses.times());
    draft.LeftOut("no change of current that is large enough",
                  Outside(pulses.times(), input.length_s));
    draft.Add("pack_resistance", 1000 * pulses.Ohm(kPulseSeconds), "mohm",
              "after 2 s, from voltage and current of all these minutes; " +
                  CountOf(pulses.steps(), "step") + " of current",
              1000 * pulses.Uncertainty(kPulseSeconds));
  } else {
    draft.Missing(std::to_string(PulseFit::kFewestSteps) + " changes of current by " +
                  Spoken(least) + " A or more within 2 s (there are " +
                  std::to_string(pulses.steps()) + ")");
  }
  JudgeEveryCell(draft, clipped.current, known ? pulses.Ohm(kPulseSeconds) : 0);
}

}  // namespace proofdrive::analysis
