#include "analysis/checks/resistance_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/checks/parts/step_resistance.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr std::size_t kFewestPairs = 3;
constexpr double kCellLag = 2;     // s, as for the pack
constexpr double kSteadyAmps = 3;  // for the links
constexpr double kLinkSpanAmps = 10;
constexpr double kEndSeconds = 30;
constexpr std::size_t kFewestLinkSamples = 10;

struct CellOhm {
  std::size_t cell = 0;  // from 0
  double ohm = 0;
};

std::vector<CellOhm> CellOhms(CheckDraft& draft) {
  const RoleSignal* cells = draft.input().Find("cell voltages");
  std::vector<CellOhm> ohms;
  if (cells == nullptr) {
    draft.Missing("cell voltages, for the resistance of each cell");
    return ohms;
  }
  const Track& current = draft.input().TrackOf("pack current");
  for (std::size_t i = 0; i < cells->elements.size(); ++i) {
    const StepPairs pairs =
        PairsOf(cells->elements[i], current, kCellLag, LeastStep(draft.settings()));
    if (pairs.amps.size() >= kFewestPairs && pairs.ohm > 0) ohms.push_back({i, pairs.ohm});
  }
  if (ohms.size() < 3) draft.Missing("more changes of current, for the resistance of each cell");
  return ohms;
}

void JudgeCells(CheckDraft& draft, const std::vector<CellOhm>& ohms) {
  std::vector<double> values;
  Curve curve{"resistance per cell", "cell", "", "resistance", "mohm", {}, {}};
  for (const CellOhm& cell : ohms) {
    values.push_back(cell.ohm);
    curve.x.push_back(static_cast<double>(cell.cell + 1));
    curve.y.push_back(1000 * cell.ohm);
  }
  const double middle = Median(values);
  const std::vector<double> scores = ModifiedZ(values);
  draft.Add("cell_resistance_median", 1000 * middle, "mohm", "over about 2 s",
            1000 * RobustSpread(values, middle));
  const double look = draft.Limit("resistance.cell_look");
  const double most = draft.Limit("resistance.cell_most");
  bool any = false;
  for (std::size_t i = 0; i < ohms.size(); ++i) {
    const double above = 100 * (values[i] / middle - 1);
    if (scores[i] < kOutlierZ || above < look) continue;
    any = true;
    curve.marked.push_back(curve.x[i]);
    const std::string cell = std::to_string(ohms[i].cell + 1);
    draft.Add("cell_" + cell + "_resistance", 1000 * values[i], "mohm",
              Spoken(above) + " % above the median, robust z " + Spoken(scores[i]));
    draft.Judge(above > most ? CheckStatus::kOutside : CheckStatus::kLookCloser,
                "cell " + cell + " has " + Spoken(above) +
                    " % more resistance than the median: a lost parallel cell, a weak joint, or a "
                    "cell going away");
  }
  curve.shape = CurveShape::kBars;
  curve.levels = {{1000 * middle, "median"},
                  {1000 * middle * (1 + look / 100), "+" + Spoken(look) + " %"}};
  draft.Add(std::move(curve));
  if (any) return;
  draft.Judge(CheckStatus::kWithin, "no cell has more than " + Spoken(look) +
                                        " % above the median resistance of " +
                                        Spoken(1000 * middle) + " mohm");
}

void JudgeLinks(CheckDraft& draft, const std::vector<CellOhm>& ohms) {
  const CheckInput& input = draft.input();
  const RoleSignal* cells = input.Find("cell voltages");
  if (cells == nullptr) return;
  const LinkFit fit =
      FitLinks(input.TrackOf("pack voltage"), cells->elements, input.TrackOf("pack current"));
  if (fit.samples < kFewestLinkSamples || fit.most_amps < kLinkSpanAmps) {
    draft.Missing("steady currents that differ by " + Spoken(kLinkSpanAmps) +
                  " A, with every cell received, for the resistance of the links");
    return;
  }
  draft.Add("link_resistance", 1000 * fit.ohm, "mohm",
            "sum of cells less pack voltage against current, " + std::to_string(fit.samples) +
                " steady times",
            1000 * fit.ohm_uncertainty);
  draft.Add("link_offset", fit.offset_v, "V", "the same without current: the instruments differ");
  double sum = 0;
  for (const CellOhm& cell : ohms) sum += cell.ohm;
  if (ohms.size() < cells->elements.size() || sum <= 0) return;
  const double share = 100 * fit.ohm / sum;
  draft.Add("link_share", share, "%", "of the sum of the cells' resistances");
  if (share > draft.Limit("resistance.link")) {
    draft.Judge(CheckStatus::kLookCloser,
                "links and joints have " + Spoken(1000 * fit.ohm) + " mohm, " + Spoken(share) +
                    " % of the cells' sum: a loose or corroded joint, or long leads");
  }
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

// Standard error of a slope by least squares; 0 with fewer than three points.
double SlopeError(const std::vector<double>& x, const std::vector<double>& y, const Line& line) {
  if (x.size() < 3) return 0;
  const double middle = Mean(x);
  double left = 0;
  double spread = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double rest = y[i] - line.intercept - line.slope * x[i];
    left += rest * rest;
    spread += (x[i] - middle) * (x[i] - middle);
  }
  return spread > 0 ? std::sqrt(left / static_cast<double>(x.size() - 2) / spread) : 0;
}

}  // namespace

LinkFit FitLinks(const Track& pack, const std::vector<Track>& cells, const Track& current) {
  LinkFit fit;
  if (cells.empty() || cells.front().empty()) return fit;
  double age = 0;
  for (const Track& cell : cells) age = std::max(age, 1.5 * Period(cell));
  age = std::max(age, 0.05);
  const double current_age = CheckInput::Gap(current) + 0.05;
  const double pack_age = CheckInput::Gap(pack) + 0.05;
  std::vector<double> amps;
  std::vector<double> drops;
  for (const Interval& steady : Steady(current, age, [](double) { return kSteadyAmps; })) {
    for (double at = steady.from_s + age; at <= steady.to_s; at += std::max(age, 1.0)) {
      const auto volt = ValueAt(pack, at, pack_age);
      const auto now = ValueAt(current, at, current_age);
      double sum = 0;
      bool complete = volt && now;
      for (const Track& cell : cells) {
        const auto one = ValueAt(cell, at, age);
        complete = complete && one;
        sum += one.value_or(0);
      }
      if (!complete) continue;
      amps.push_back(*now);
      drops.push_back(sum - *volt);
    }
  }
  if (amps.empty()) return fit;
  const auto [low, high] = std::minmax_element(amps.begin(), amps.end());
  fit.most_amps = *high - *low;
  const Line line = LeastSquares(amps, drops);
  fit.ohm = line.slope;
  fit.offset_v = line.intercept;
  fit.samples = amps.size();
  fit.ohm_uncertainty = SlopeError(amps, drops, line);
  return fit;
}

void CheckResistance(CheckDraft& draft) {
  draft.Alike("a cold pack: every cell has more resistance, none stands out");
  draft.Alike("a low state of charge: resistance rises below about 30 % on healthy cells");
  draft.Alike("voltages and current that are not of the same moment");
  draft.Limit("resistance.step");
  TellTemperature(draft);
  const StepPairs pack = PackSteps(draft.input(), draft.settings());
  if (pack.amps.size() < kFewestPairs || pack.ohm <= 0) {
    draft.Missing(std::to_string(kFewestPairs) + " changes of current by " +
                  Spoken(LeastStep(draft.settings())) + " A or more within 2 s (there are " +
                  std::to_string(pack.amps.size()) + ")");
    JudgeLinks(draft, {});
    return;
  }
  draft.Used("at changes of current, pairs of readings about 2 s apart", pack.times);
  draft.LeftOut("no change of current that is large and sudden enough",
                Outside(pack.times, draft.input().length_s));
  draft.Add("pack_resistance", 1000 * pack.ohm, "mohm",
            "over about 2 s, Huber's slope of " + std::to_string(pack.amps.size()) +
                " changes of current",
            1000 * pack.uncertainty);
  const std::vector<CellOhm> ohms = CellOhms(draft);
  if (ohms.size() >= 3) JudgeCells(draft, ohms);
  JudgeLinks(draft, ohms);
}

}  // namespace proofdrive::analysis
