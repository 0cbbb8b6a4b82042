// The figures of a check in two sessions: before, after, and whether they changed at equal
// temperature and charge, whatever the limits say.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/checking/settings.h"
#include "analysis/findings/session_findings.h"

namespace proofdrive::analysis {

// Within this share of each other two figures are the same, if that is known to be so (proposal).
inline constexpr double kSameShare = 0.1;

enum class FigureChange {
  kFell,      // "fell"
  kRose,      // "rose"
  kSame,      // "same": within kSameShare, and sure to be
  kUnclear,   // "unclear": neither shown to differ nor to be the same
  kNotKnown,  // "not known": nothing says how far off the figures may be
};
std::string_view FigureChangeName(FigureChange change);

// What the car was like in both sessions; nullopt = not known.
struct Conditions {
  std::optional<double> celsius_before, celsius_after;      // of the cells
  std::optional<double> cell_volt_before, cell_volt_after;  // of the middle cell
  std::vector<OpenCurve> curves;  // those the cells may follow; empty = none can be used
  // Whether the main contactors were closed at any time: then the vehicle's side was measured, too.
  std::optional<bool> closed_before, closed_after;
};
Conditions ConditionsOf(const SessionFindings& before, const SessionFindings& after,
                        const CheckSettings& settings);

struct FigureComparison {
  std::string name;   // of the figure, "pack_resistance"
  std::string words;  // "pack resistance"
  std::string unit;
  bool is_main = false;  // one of those that are always shown
  double before = 0, after = 0;
  // One standard deviation, in `unit`; nullopt = not known.
  std::optional<double> before_error, after_error;
  // A ratio after / before, else a difference after - before.
  bool is_ratio = false;
  // At equal conditions, with its 95 % interval; without meaning when the change is not known.
  double amount = 0, low = 0, high = 0;
  FigureChange change = FigureChange::kNotKnown;
  // What was made equal, or was not: "at equal temperature (15.9 and 17.9 degC)"; may be empty.
  std::string conditions;

  bool Changed() const { return change == FigureChange::kFell || change == FigureChange::kRose; }
  // "fell to 38 % (34 to 43 %) at equal temperature (15.9 and 17.9 degC)".
  std::string Sentence() const;
};

// The figures that both results have, those that are always shown first.
std::vector<FigureComparison> CompareFigures(const CheckResult& before, const CheckResult& after,
                                             const Conditions& conditions);

}  // namespace proofdrive::analysis
