#include "analysis/checks/balance_check.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/checking/rest.h"
#include "analysis/checks/parts/cell_limits.h"
#include "analysis/checks/parts/cell_spread.h"
#include "analysis/checks/parts/charge_by_voltage.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kLeastQuiet = 5;  // s
constexpr double kTail = 60;       // s of a rest that are used
constexpr double kBegin = 10;      // s of its beginning
constexpr double kResistanceScatter = 0.3;
constexpr double kBleedingShare = 0.95;  // of them: balancing cannot be left out
constexpr double kSenseShare = 0.2;      // of its size by which an opposite pair may differ
// That any of the pairs of an even pack looks like a sense lead (proposal), and how far the sum of
// such a pair may be from that of two cells.
constexpr double kSenseChance = 0.001;
constexpr double kSenseSumDeviations = 2.5;
constexpr double kStringShare = 0.03;  // sum of the cells over pack, from a whole number

struct Cells {
  std::vector<std::size_t> number;  // from 1
  std::vector<double> volt;
  double middle = 0;
  std::vector<double> offset_mv;  // from the median
};

Cells Gather(const std::vector<double>& volts) {
  Cells cells;
  for (std::size_t i = 0; i < volts.size(); ++i) {
    if (std::isnan(volts[i])) continue;
    cells.number.push_back(i + 1);
    cells.volt.push_back(volts[i]);
  }
  cells.middle = cells.volt.empty() ? std::numeric_limits<double>::quiet_NaN() : Median(cells.volt);
  for (const double volt : cells.volt) cells.offset_mv.push_back(1000 * (volt - cells.middle));
  return cells;
}

// The rest that counts most: the longest, rests before the recording included.
std::optional<Interval> BestRest(CheckDraft& draft) {
  draft.Limit("rest.current");
  const Intervals resting = AtLeast(RestingTime(draft.input(), draft.settings()), kLeastQuiet);
  if (resting.empty()) {
    draft.Missing("the pack at rest for " + Spoken(kLeastQuiet) + " s or more");
    return std::nullopt;
  }
  return *std::max_element(resting.begin(), resting.end(), [&](const auto& a, const auto& b) {
    return RestedSeconds(a, draft.settings()) < RestedSeconds(b, draft.settings());
  });
}

// Voltage of the median cell a little later and earlier in the rest.
void TellDrift(CheckDraft& draft, const Interval& rest) {
  const double third = rest.length() / 3;
  if (third < 20) return;
  std::vector<double> middles;
  for (int i = 1; i <= 3; ++i) {
    const Interval part = {rest.from_s, rest.from_s + i * third};
    middles.push_back(Gather(RestedCells(draft.input(), part, 10)).middle);
  }
  const auto end = ExtrapolateRest(middles[0], middles[1], middles[2], third);
  if (!end || std::fabs(end->left_v) < 0.0005) return;
  draft.Add("rest_left", 1000 * end->left_v, "mV",
            "the median cell still has to go, if its rest goes on as it began (time constant " +
                SpokenSeconds(end->tau_s) + ")");
}

// Neighbours with opposite errors whose sum is unchanged: the lead between them, not the cells.
// Even packs have opposite neighbours, too: the pair must be further apart than the pack's own
// scatter puts any of its pairs (normal tail, bounded by exp(-z^2 / 2), times the number of pairs).
std::optional<std::size_t> SensePair(const Cells& cells, double floor_mv) {
  const double scatter = std::sqrt(2.0) * RobustSpread(cells.offset_mv, 0);
  const double pairs = static_cast<double>(cells.number.size());
  const double least = std::sqrt(2 * std::log(pairs / kSenseChance)) * scatter;
  std::optional<std::size_t> widest;
  double width = 0;
  for (std::size_t i = 0; i + 1 < cells.number.size(); ++i) {
    const double a = cells.offset_mv[i];
    const double b = cells.offset_mv[i + 1];
    const double apart = std::fabs(a - b);
    if (cells.number[i + 1] != cells.number[i] + 1 || a * b >= 0) continue;
    if (std::min(std::fabs(a), std::fabs(b)) < floor_mv || apart < least || apart < width) continue;
    const double unchanged =
        std::max(kSenseShare * apart, std::min(kSenseSumDeviations * scatter, 0.5 * apart));
    if (std::fabs(a + b) >= unchanged) continue;
    widest = i;
    width = apart;
  }
  return widest;
}

// The cells but a pair whose sense lead is off.
Cells WithoutPair(const Cells& cells, std::size_t first) {
  Cells others;
  others.middle = cells.middle;
  for (std::size_t i = 0; i < cells.number.size(); ++i) {
    if (i == first || i == first + 1) continue;
    others.number.push_back(cells.number[i]);
    others.volt.push_back(cells.volt[i]);
    others.offset_mv.push_back(cells.offset_mv[i]);
  }
  return others;
}

// Outliers: far by robust z and by more than the floor.
std::vector<std::size_t> OutliersOf(CheckDraft& draft, const Cells& cells, double step_v) {
  const double floor_mv = std::max(draft.Limit("balance.floor"), 3000 * step_v);
  const std::vector<double> scores = ModifiedZ(cells.volt);
  std::vector<std::size_t> outliers;
  for (std::size_t i = 0; i < cells.volt.size(); ++i) {
    if (std::fabs(scores[i]) > kOutlierZ && std::fabs(cells.offset_mv[i]) > floor_mv) {
      outliers.push_back(i);
    }
  }
  return outliers;
}

// Three or more neighbours that are low together.
void NameRuns(CheckDraft& draft, const Cells& cells, const std::vector<std::size_t>& outliers) {
  std::size_t run = 1;
  for (std::size_t i = 0; i < outliers.size(); ++i) {
    const std::size_t cell = outliers[i];
    const bool follows = i > 0 && cells.number[cell] == cells.number[outliers[i - 1]] + 1 &&
                         cells.offset_mv[cell] < 0 && cells.offset_mv[outliers[i - 1]] < 0;
    run = follows ? run + 1 : 1;
    const bool ends =
        i + 1 == outliers.size() || cells.number[outliers[i + 1]] != cells.number[cell] + 1;
    if (ends && run >= 3) {
      const std::size_t last = cells.number[cell], first = last + 1 - run;
      draft.RemarkOfCells(first, last,
                          "cells " + std::to_string(first) + " to " + std::to_string(last) +
                              " are low together: bridged from outside (a film of coolant) rather "
                              "than weak by themselves");
    }
  }
}

void NameOutliers(CheckDraft& draft, const Cells& cells, const std::vector<std::size_t>& outliers) {
  NameRuns(draft, cells, outliers);
  for (std::size_t i = 0; i < std::min<std::size_t>(outliers.size(), 6); ++i) {
    draft.Remark("cell " + std::to_string(cells.number[outliers[i]]) + " is " +
                 Spoken(cells.offset_mv[outliers[i]]) + " mV from the median");
  }
}

// The flattest of the curves at the median cell, mV for one percent.
double FlattestSlope(const std::vector<OpenCurve>& curves, double volt) {
  double least = std::numeric_limits<double>::infinity();
  for (const OpenCurve& curve : curves) {
    least = std::min(least, 10 * curve.Slope(curve.ChargeAt(volt)));
  }
  return least;
}

// Few millivolts can be much charge where the curve is flat.
void JudgeGap(CheckDraft& draft, const ChargeSpan& gap, const Cells& cells) {
  if (100 * gap.low <= draft.Limit("balance.charge")) return;
  const auto lowest = static_cast<std::size_t>(
      std::min_element(cells.volt.begin(), cells.volt.end()) - cells.volt.begin());
  draft.Judge(CheckStatus::kLookCloser, "cell " + std::to_string(cells.number[lowest]) + " has " +
                                            RangeText(100 * gap.low, 100 * gap.high) +
                                            " % less charge than the median cell, though only " +
                                            Spoken(-cells.offset_mv[lowest]) +
                                            " mV less: the curve is flat here");
}

void TellCharge(CheckDraft& draft, const Cells& cells, double lowest_mv, bool rested, double step) {
  if (!rested) {
    draft.Missing("a longer rest (or rest.before), to turn millivolts into charge");
    return;
  }
  if (draft.settings().chemistry() == Chemistry::kLfp && !draft.settings().curve()) {
    draft.Remark(
        "millivolts are not turned into charge: this chemistry has a plateau on which "
        "10 mV can be 30 % (published); judge it nearly empty or nearly full");
    return;
  }
  const auto curves = CurvesHere(draft, cells.middle);
  if (curves.empty()) return;
  const ChargeSpan gap = ChargeBetween(curves, cells.middle, cells.middle + lowest_mv / 1000);
  JudgeGap(draft, gap, cells);
  const ChargeSpan charge = ChargeBy(curves, cells.middle, step);
  const double slope = FlattestSlope(curves, cells.middle);
  if (slope < draft.Limit("balance.slope")) {
    draft.Remark("millivolts are not turned into charge at " +
                 RangeText(100 * charge.low, 100 * charge.high) +
                 " %: the rested voltage changes by " + Spoken(slope) +
                 " mV per % only; judge it between 20 and 80 %, or say which curve the cells have "
                 "(pack.curve)");
    return;
  }
  draft.Add("median_charge", 100 * charge.middle(), "%", "of the median cell by its rested voltage",
            100 * charge.uncertainty());
  draft.Add("weakest_gap", 100 * gap.middle(), "%",
            "charge of the weakest cell below the median, " +
                RangeText(100 * gap.low, 100 * gap.high) + " by " +
                CountOf(curves.size(), "curve"));
  const double capacity = draft.settings().Get("pack.capacity");
  if (capacity > 0) {
    draft.Add("weakest_gap_charge", gap.middle() * capacity, "Ah", "the same as charge");
  }
}

// Millivolts that the load before may have left between cells: their resistances differ by up to 30
// % from end to end (7 % standard deviation in used packs, published), and what is still to go is
// taken to be as much as went so far (proposal).
double StillRelaxing(const CheckInput& input, const Interval& rest, double middle_v) {
  const Interval before = {rest.from_s - kTail, rest.from_s};
  const Interval begin = {rest.from_s, rest.from_s + kBegin};
  const double loaded = before.from_s < 0 ? std::numeric_limits<double>::quiet_NaN()
                                          : Gather(RestedCells(input, before, kTail)).middle;
  const double first = Gather(RestedCells(input, begin, kBegin)).middle;
  double went = 0;
  for (const double volt : {loaded, first}) {
    if (std::isfinite(volt)) went = std::max(went, std::fabs(middle_v - volt));
  }
  return kResistanceScatter * 1000 * went;
}

void CompareSum(CheckDraft& draft, const Cells& cells, const Interval& rest, std::size_t count) {
  const Track pack = Between(draft.input().TrackOf("pack voltage"),
                             std::max(rest.from_s, rest.to_s - kTail), rest.to_s);
  if (pack.empty() || cells.volt.size() != count) return;
  double sum = 0;
  for (const double volt : cells.volt) sum += volt;
  const double strings = std::round(sum / Median(pack.value));
  if (strings >= 2 && std::fabs(sum / Median(pack.value) / strings - 1) < kStringShare) {
    draft.Remark("the cells add up to " + Spoken(strings) +
                 " times the pack: cells of so many strings in parallel are listed (or a part of "
                 "the string is not connected)");
    sum /= strings;
  }
  const double percent = 100 * std::fabs(sum / Median(pack.value) - 1);
  draft.Add("sum_against_pack", percent, "%", "sum of cells against pack voltage at rest");
  if (percent > draft.Limit("balance.sum")) {
    draft.Judge(CheckStatus::kLookCloser, "the cells add up to " + Spoken(sum) +
                                              " V, the pack says " + Spoken(Median(pack.value)) +
                                              " V");
  }
}

void NameExtremes(CheckDraft& draft, const Cells& cells) {
  const auto [low, high] = std::minmax_element(cells.volt.begin(), cells.volt.end());
  const auto number = [&](auto place) {
    return static_cast<double>(cells.number[static_cast<std::size_t>(place - cells.volt.begin())]);
  };
  draft.Add("spread", 1000 * (*high - *low), "mV",
            "highest less lowest reading at rest; what their channels are off by is not known");
  draft.Add("weakest_cell", number(low), "", Spoken(*low) + " V, number as sent");
  draft.Add("strongest_cell", number(high), "", Spoken(*high) + " V, number as sent");
}

void TellLeftOut(CheckDraft& draft, const Interval& rest) {
  const CheckInput& input = draft.input();
  const Interval tail = {std::max(rest.from_s, rest.to_s - kTail), rest.to_s};
  const Intervals bleeding = Both({tail}, input.WhereState("balancing", {Meaning::kOn}));
  if (TotalLength(bleeding) > kBleedingShare * tail.length()) {
    draft.Remark(
        "balancing was on nearly all the time: its resistors pull down what is read of the cells "
        "that it discharges");
  } else {
    draft.LeftOut("balancing was on", bleeding);
  }
  draft.LeftOut("current flows",
                AtLeast(Outside(RestingTime(input, draft.settings()), input.length_s), 1));
}

void DrawMap(CheckDraft& draft, const Cells& cells, const std::vector<std::size_t>& outliers) {
  Curve map{"cell map", "cell", "", "offset from the median", "mV", {}, cells.offset_mv};
  map.shape = CurveShape::kBars;
  for (const std::size_t cell : cells.number) map.x.push_back(static_cast<double>(cell));
  for (const std::size_t outlier : outliers) map.marked.push_back(map.x[outlier]);
  draft.Add(std::move(map));
}

}  // namespace

void CheckBalance(CheckDraft& draft) {
  draft.Alike("a sense lead: one cell reads high and its neighbour as much too low");
  draft.Alike("cells read one after the other while the current moves");
  draft.Alike("a cell that is low under load only: that is resistance");
  draft.Alike("numbers on the bus that are not the order in the pack");
  JudgeCellLimits(draft);
  const auto rest = BestRest(draft);
  if (!rest) return;
  const RoleSignal& signal = *draft.input().Find("cell voltages");
  const Cells cells = Gather(RestedCells(draft.input(), *rest, kTail));
  if (cells.volt.size() < 2) {
    draft.Missing("two cells or more received while the pack rested");
    return;
  }
  const double had = RestedSeconds(*rest, draft.settings());
  const bool rested = had >= NeededRestSeconds(draft.input(), draft.Limit("rest.hours"), *rest);
  draft.Used("the last " + Spoken(kTail) + " s of the best rest", {*rest});
  TellLeftOut(draft, *rest);
  NameExtremes(draft, cells);
  const std::string where =
      rested ? "at rest" : "without current (rested " + SpokenSeconds(had) + " only)";
  if (!rested) TellDrift(draft, *rest);
  const auto sense = SensePair(cells, std::max(draft.Limit("balance.floor"), 3000 * signal.step));
  const Cells judged = sense ? WithoutPair(cells, *sense) : cells;
  if (judged.volt.empty()) return;
  const auto [low, high] = std::minmax_element(judged.offset_mv.begin(), judged.offset_mv.end());
  const auto outliers = OutliersOf(draft, cells, signal.step);
  DrawMap(draft, cells, outliers);
  if (sense) {
    draft.Judge(CheckStatus::kLookCloser,
                "cells " + std::to_string(cells.number[*sense]) + " and " +
                    std::to_string(cells.number[*sense] + 1) + " are " +
                    Spoken(cells.offset_mv[*sense]) + " and " +
                    Spoken(cells.offset_mv[*sense + 1]) +
                    " mV off, together unchanged: the sense lead between them, not the cells");
  }
  // A sense lead hides nothing of the other cells.
  const SpreadTerms terms = {KindOfCells(draft.input(), draft.settings()), judged.middle,
                             rested ? 0 : StillRelaxing(draft.input(), *rest, judged.middle),
                             StandsOutBy(judged.offset_mv)};
  JudgeSpread(draft, *high - *low, terms, sense ? where + " besides these two" : where);
  NameOutliers(draft, judged, sense ? OutliersOf(draft, judged, signal.step) : outliers);
  TellCharge(draft, judged, *low, rested, signal.step);
  CompareSum(draft, cells, *rest, signal.elements.size());
}

}  // namespace proofdrive::analysis
