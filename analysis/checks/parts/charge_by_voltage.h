// Charge from a rested voltage, by every curve that the cells may follow.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/checking/draft.h"
#include "analysis/physics/open_curves.h"

namespace proofdrive::analysis {

// One curve when it is stated, else all that the chemistry leaves at this rested voltage; none, and
// what is missing, when the charge cannot be known from it.
std::vector<OpenCurve> CurvesHere(CheckDraft& draft, double rested_v);

// Of a cell after a proper rest, one standard deviation: its channel, what still relaxes, rounding.
double RestedVoltError(double step_v);
// Of a charge by one curve at this charge, 0..1, one standard deviation.
double ChargeError(const OpenCurve& curve, double charge, double volt_error);

// 0..1, slightly beyond at both ends of the curves.
struct ChargeSpan {
  double low = 0, high = 0;  // by the curves
  double error = 0;          // of each, one standard deviation
  double middle() const { return (low + high) / 2; }
  // One standard deviation of the middle: any of the curves may be the right one.
  double uncertainty() const;
};
// REQUIRES: one curve or more.
ChargeSpan ChargeBy(const std::vector<OpenCurve>& curves, double rested_v, double step_v);

// Charge between two rested voltages near each other, by the curves (0..1).
ChargeSpan ChargeBetween(const std::vector<OpenCurve>& curves, double from_v, double to_v);

// "42 to 51", "42" when both are the same in print.
std::string RangeText(double low, double high);

}  // namespace proofdrive::analysis
