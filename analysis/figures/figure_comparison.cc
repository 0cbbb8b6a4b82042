#include "analysis/figures/figure_comparison.h"

#include <algorithm>
#include <cmath>

#include "analysis/checking/draft.h"
#include "analysis/figures/conditions.h"
#include "analysis/figures/typical.h"
#include "analysis/physics/cell_curve.h"
#include "core/base/decimals.h"

namespace proofdrive::analysis {
namespace {

enum class Equal {
  kNothing,      // neither temperature nor charge moves it much
  kInsulation,   // by temperature
  kResistance,   // by temperature
  kSpread,       // by charge
  kTemperature,  // temperature moves it, and nobody says by how much
};

struct FigureRow {
  std::string_view check, figure, words;
  bool is_ratio;
  Equal equal;
  // One standard deviation where the check states none: of a ratio the share, else in the unit of
  // the figure (proposal). 0 = not known.
  double error;
};
// What is always shown of a check. The others are compared by what their units say.
constexpr FigureRow kMainFigures[] = {
    {"insulation", "resistance", "insulation", true, Equal::kInsulation, 0.05},
    {"cooling", "flow_index", "coolant flow at 1000 rpm", true, Equal::kTemperature, 0},
    {"cooling", "pump_index", "pump power", true, Equal::kTemperature, 0},
    {"cooling", "outlet_less_inlet", "coolant outlet less inlet", false, Equal::kNothing, 0},
    {"cooling", "temperature_spread", "spread of cell temperatures", false, Equal::kNothing, 0.5},
    {"balance", "spread", "spread of cells", true, Equal::kSpread, 0.1},
    {"balance", "weakest_gap", "charge missing in the weakest cell", false, Equal::kNothing, 0.5},
    {"resistance", "pack_resistance", "pack resistance", true, Equal::kResistance, 0.05},
    {"resistance", "link_resistance", "links and joints", false, Equal::kNothing, 0},
    {"precharge", "closing_share", "voltage at closing", false, Equal::kNothing, 1},
    {"precharge", "precharge_tau", "pre-charge time constant", true, Equal::kNothing, 0.1},
    {"contactors", "contact_resistance", "contacts", false, Equal::kNothing, 0},
    {"capacity", "capacity", "capacity", true, Equal::kNothing, 0.05},
    {"supply", "supply_with_converter", "12 V with the converter", false, Equal::kNothing, 0.05},
    {"supply", "supply_on_battery", "12 V on its battery", false, Equal::kNothing, 0.05},
    {"range", "range_shown", "range shown", false, Equal::kNothing, 0},
    {"standby", "standby_loss", "standby loss", false, Equal::kNothing, 0},
};

// V most of the time, which iron phosphate has only when full (from memory).
constexpr double kNotIron = 3.6;
// Two standard deviations each way.
constexpr double kReach = 1.96;
// Warmer or colder by less is no other temperature for a figure that cannot be corrected.
constexpr double kSameKelvin = 3;

const FigureRow* RowOf(std::string_view check, std::string_view figure) {
  for (const FigureRow& row : kMainFigures) {
    if (row.check == check && row.figure == figure) return &row;
  }
  return nullptr;
}

std::string Words(std::string name) {
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

std::string Both(double before, double after, const char* unit) {
  return "(" + Spoken(before) + " and " + Spoken(after) + " " + unit + ")";
}

// What one figure is multiplied by so that it stands for the conditions of the after-session.
struct Correction {
  Factor factor;
  std::string words;
};

Correction ByTemperature(Equal equal, const Conditions& conditions) {
  if (!conditions.celsius_before || !conditions.celsius_after) {
    return {{}, "not corrected: the temperature of the cells is not known"};
  }
  const double from = *conditions.celsius_before, to = *conditions.celsius_after;
  const std::string both = Both(from, to, "degC");
  if (equal == Equal::kInsulation) {
    return {InsulationFactor(from, to), "at equal temperature " + both};
  }
  const auto factor = equal == Equal::kResistance ? CellResistanceFactor(from, to) : std::nullopt;
  if (factor) return {*factor, "at equal temperature " + both};
  if (equal == Equal::kTemperature && std::fabs(to - from) < kSameKelvin) return {};
  return {{}, "not corrected for temperature " + both};
}

Correction ByCharge(const Conditions& conditions) {
  if (!conditions.cell_volt_before || !conditions.cell_volt_after) return {};
  const double from = *conditions.cell_volt_before, to = *conditions.cell_volt_after;
  const std::string both = Both(from, to, "V for each cell");
  if (const auto factor = SpreadFactor(conditions.curves, from, to)) {
    return {*factor, "at equal charge " + both};
  }
  return {{}, "not corrected for charge " + both};
}

Correction CorrectionFor(Equal equal, const Conditions& conditions) {
  switch (equal) {
    case Equal::kNothing:
      return {};
    case Equal::kSpread:
      return ByCharge(conditions);
    case Equal::kInsulation:
    case Equal::kResistance:
    case Equal::kTemperature:
      return ByTemperature(equal, conditions);
  }
  return {};
}

// With the contactors closed the vehicle's side leaks, too: a fall against the pack alone, or a
// rise to it, is no change of either.
void HoldAgainstCircuit(const Conditions& conditions, FigureComparison& one) {
  const auto& before = conditions.closed_before;
  const auto& after = conditions.closed_after;
  if (!before || !after || *before == *after) return;
  const FigureChange explained = *after ? FigureChange::kFell : FigureChange::kRose;
  if (one.change == explained) one.change = FigureChange::kUnclear;
  one.conditions += std::string("; the vehicle's side was measured only ") +
                    (*after ? "after" : "before") + ", with the contactors closed";
}

FigureChange Decide(const FigureComparison& one) {
  const double none = one.is_ratio ? 1 : 0;
  if (one.low > none) return FigureChange::kRose;
  if (one.high < none) return FigureChange::kFell;
  const double margin = one.is_ratio
                            ? kSameShare
                            : kSameShare * std::max(std::fabs(one.before), std::fabs(one.after));
  const bool same = one.low >= none - margin && one.high <= none + margin;
  return same ? FigureChange::kSame : FigureChange::kUnclear;
}

double ShareOf(const std::optional<double>& error, double value, double otherwise) {
  return error ? *error / value : otherwise;
}

void CompareRatio(const FigureRow* row, const Conditions& conditions, FigureComparison& one) {
  const double otherwise = row == nullptr ? 0 : row->error;
  const double a = ShareOf(one.before_error, one.before, otherwise);
  const double b = ShareOf(one.after_error, one.after, otherwise);
  const Correction correction = CorrectionFor(row ? row->equal : Equal::kNothing, conditions);
  one.conditions = correction.words;
  one.amount = one.after / (one.before * correction.factor.middle);
  if (a <= 0 || b <= 0) return;
  const double reach = kReach * std::hypot(a, b, correction.factor.error);
  one.low = one.amount * std::exp(-reach);
  one.high = one.amount * std::exp(reach);
  one.change = Decide(one);
  if (row != nullptr && row->equal == Equal::kInsulation) HoldAgainstCircuit(conditions, one);
}

void CompareDifference(const FigureRow* row, const Conditions& conditions, FigureComparison& one) {
  const double otherwise = row == nullptr ? 0 : row->error;
  const double a = one.before_error.value_or(otherwise), b = one.after_error.value_or(otherwise);
  one.conditions = CorrectionFor(row ? row->equal : Equal::kNothing, conditions).words;
  one.amount = one.after - one.before;
  if (a <= 0 || b <= 0) return;
  const double reach = kReach * std::hypot(a, b);
  one.low = one.amount - reach;
  one.high = one.amount + reach;
  one.change = Decide(one);
}

FigureComparison CompareOne(std::string_view check, const Figure& before, const Figure& after,
                            const Conditions& conditions) {
  const FigureRow* row = RowOf(check, before.name);
  FigureComparison one;
  one.name = before.name;
  one.words = row == nullptr ? Words(before.name) : std::string(row->words);
  one.unit = before.unit;
  one.is_main = row != nullptr;
  one.before = before.value;
  one.after = after.value;
  one.before_error = before.uncertainty;
  one.after_error = after.uncertainty;
  one.is_ratio = row != nullptr && row->is_ratio && before.value > 0 && after.value > 0;
  if (one.is_ratio) {
    CompareRatio(row, conditions, one);
  } else {
    CompareDifference(row, conditions, one);
  }
  return one;
}

std::string Unit(const std::string& unit) { return unit.empty() ? "" : " " + unit; }

// Two digits: more would be no better known.
std::string Rough(double value) { return Decimals(value, value >= 9.95 ? 0 : 1); }

// "38 % (34 to 43 %)", "2.4 times (2.2 to 2.6)".
std::string RatioText(const FigureComparison& one) {
  if (one.amount < 2) {
    return Rough(100 * one.amount) + " % (" + Rough(100 * one.low) + " to " +
           Rough(100 * one.high) + " %)";
  }
  return Rough(one.amount) + " times (" + Rough(one.low) + " to " + Rough(one.high) + ")";
}

// What fell by an amount fell by a positive one.
std::string DifferenceText(const FigureComparison& one) {
  const bool fell = one.change == FigureChange::kFell;
  const double sign = fell ? -1 : 1;
  return Spoken(sign * one.amount) + Unit(one.unit) + " (" +
         Spoken(sign * (fell ? one.high : one.low)) + " to " +
         Spoken(sign * (fell ? one.low : one.high)) + ")";
}

std::string AmountText(const FigureComparison& one) {
  return one.is_ratio ? RatioText(one) : DifferenceText(one);
}

std::string ChangeText(const FigureComparison& one) {
  const char* by = one.is_ratio ? "to " : "by ";
  switch (one.change) {
    case FigureChange::kFell:
      return "fell " + (by + AmountText(one));
    case FigureChange::kRose:
      return "rose " + (by + AmountText(one));
    case FigureChange::kSame:
      return "the same: " + AmountText(one);
    case FigureChange::kUnclear:
      return "not shown to have changed: " + AmountText(one);
    case FigureChange::kNotKnown:
      return one.before == one.after ? "the same figure" : "how sure that is, is not known";
  }
  return "";
}

}  // namespace

std::string_view FigureChangeName(FigureChange change) {
  switch (change) {
    case FigureChange::kFell:
      return "fell";
    case FigureChange::kRose:
      return "rose";
    case FigureChange::kSame:
      return "same";
    case FigureChange::kUnclear:
      return "unclear";
    case FigureChange::kNotKnown:
      return "not known";
  }
  return "";
}

std::string FigureComparison::Sentence() const {
  const std::string text = ChangeText(*this);
  if (conditions.empty()) return text;
  return text + (conditions.starts_with("not ") ? ", " : " ") + conditions;
}

namespace {

// nullopt without a signal whose states are understood.
std::optional<bool> EverClosed(const SessionFindings& findings) {
  constexpr decoders::RoleName kRole = "contactor state";
  if (findings.definitions == nullptr) return std::nullopt;
  for (const std::uint32_t index : findings.definitions->SignalsWithRole(kRole)) {
    const decoders::Signal& signal = findings.definitions->signals[index];
    if (index >= findings.signals.size() || findings.signals[index].values == 0) continue;
    for (std::size_t i = 0; i < signal.states.size(); ++i) {
      decoders::Meaning means = signal.states[i].means;
      if (means == decoders::Meaning::kNotUnderstood) {
        means = decoders::MeaningOfName(signal.role, signal.states[i].name);
      }
      const bool seen = findings.signals[index].state_counts[i] > 0;
      if (seen && means == decoders::Meaning::kNotUnderstood) return std::nullopt;
      if (seen && means == decoders::Meaning::kClosed) return true;
    }
    return false;
  }
  return std::nullopt;
}

}  // namespace

Conditions ConditionsOf(const SessionFindings& before, const SessionFindings& after,
                        const CheckSettings& settings) {
  Conditions conditions;
  conditions.celsius_before = MiddleOfRole(before, "cell temperatures");
  conditions.celsius_after = MiddleOfRole(after, "cell temperatures");
  conditions.cell_volt_before = MiddleOfRole(before, "cell voltages");
  conditions.cell_volt_after = MiddleOfRole(after, "cell voltages");
  conditions.closed_before = EverClosed(before);
  conditions.closed_after = EverClosed(after);
  // Cells of unknown chemistry may have a plateau, unless they are above it.
  const double lowest =
      std::min(conditions.cell_volt_before.value_or(0), conditions.cell_volt_after.value_or(0));
  if (settings.curve()) {
    conditions.curves = {*settings.curve()};
  } else if (settings.chemistry() != Chemistry::kUnknown || lowest > kNotIron) {
    conditions.curves = CurvesOf(settings.chemistry());
  }
  return conditions;
}

std::vector<FigureComparison> CompareFigures(const CheckResult& before, const CheckResult& after,
                                             const Conditions& conditions) {
  std::vector<FigureComparison> all;
  for (const Figure& now : after.figures) {
    const Figure* old = before.FindFigure(now.name);
    if (old == nullptr || old->unit != now.unit) continue;
    all.push_back(CompareOne(after.name, *old, now, conditions));
  }
  std::stable_sort(all.begin(), all.end(),
                   [](const auto& a, const auto& b) { return a.is_main && !b.is_main; });
  return all;
}

}  // namespace proofdrive::analysis
