// What a pack holds, by the charge counted between two rests and the curves its cells may follow.
#pragma once

#include <optional>
#include <vector>

#include "analysis/checking/draft.h"
#include "analysis/physics/open_curves.h"

namespace proofdrive::analysis {

struct RestPoint {
  double at_s = 0;
  std::vector<double> volts;  // of each cell; NaN where it was not received
  double middle_v = 0;        // of the median cell
};
// The ends of all rests that are long enough for their temperature. A network that is parked may be
// silent for up to two hours.
std::vector<RestPoint> RestPoints(CheckDraft& draft);

// Charge that may have flowed between two samples more than 2 s apart, Ah; nothing where both of
// them are at rest.
double UnknownCharge(const Track& current, double quiet_a);

struct CapacitySpan {
  double low_ah = 0, high_ah = 0;        // by the curves
  double error_ah = 0;                   // of each, one standard deviation
  double low_swing = 0, high_swing = 0;  // 0..1
  std::vector<std::string> curves;
};
// By every curve, but those by which the pack would hold more than it can (`most_ah`, 0: not
// known). nullopt when no curve is left.
std::optional<CapacitySpan> CapacityBy(const std::vector<OpenCurve>& curves, const RestPoint& a,
                                       const RestPoint& b, double ah, double unknown_ah,
                                       double step_v, double most_ah);

}  // namespace proofdrive::analysis
