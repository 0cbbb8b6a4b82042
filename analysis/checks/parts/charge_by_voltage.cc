#include "analysis/checks/parts/charge_by_voltage.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::analysis {
namespace {

constexpr double kCurveError = 0.01;      // of a charge from a curve (proposal)
constexpr double kSensorVolt = 0.002;     // of a cell's channel (proposal)
constexpr double kStillRelaxing = 0.003;  // V left after a proper rest (proposal)
constexpr double kLeastSlope = 0.05;      // V for the whole charge
constexpr double kNotIron = 3.6;          // V at rest, which iron phosphate has only when full

void Widen(double charge, bool first, ChargeSpan& span) {
  span.low = first ? charge : std::min(span.low, charge);
  span.high = first ? charge : std::max(span.high, charge);
}

}  // namespace

std::vector<OpenCurve> CurvesHere(CheckDraft& draft, double rested_v) {
  const CheckSettings& settings = draft.settings();
  if (settings.curve()) return {*settings.curve()};
  if (!settings.wrong_curve().empty()) {
    draft.Missing("a pack.curve that can be read: \"" + settings.wrong_curve() +
                  "\" is neither a published curve nor a table of percent and volt");
    return {};
  }
  if (settings.chemistry() == Chemistry::kUnknown && rested_v <= kNotIron) {
    draft.Missing(
        "the chemistry (pack.chemistry) or the curve of the cells (pack.curve), to know "
        "the charge from a rested voltage: these cells may be iron phosphate");
    return {};
  }
  return CurvesOf(settings.chemistry());
}

double RestedVoltError(double step_v) {
  return std::hypot(kSensorVolt, kStillRelaxing, step_v / std::sqrt(12.0));
}

double ChargeError(const OpenCurve& curve, double charge, double volt_error) {
  return std::hypot(kCurveError, volt_error / std::max(curve.Slope(charge), kLeastSlope));
}

double ChargeSpan::uncertainty() const { return std::hypot((high - low) / std::sqrt(12.0), error); }

ChargeSpan ChargeBy(const std::vector<OpenCurve>& curves, double rested_v, double step_v) {
  ChargeSpan span;
  for (const OpenCurve& curve : curves) {
    const double charge = curve.ChargeAt(rested_v);
    Widen(charge, &curve == &curves.front(), span);
    span.error = std::max(span.error, ChargeError(curve, charge, RestedVoltError(step_v)));
  }
  return span;
}

ChargeSpan ChargeBetween(const std::vector<OpenCurve>& curves, double from_v, double to_v) {
  ChargeSpan span;
  for (const OpenCurve& curve : curves) {
    Widen(curve.ChargeAt(from_v) - curve.ChargeAt(to_v), &curve == &curves.front(), span);
  }
  return span;
}

std::string RangeText(double low, double high) {
  return Spoken(low) == Spoken(high) ? Spoken(low) : Spoken(low) + " to " + Spoken(high);
}

}  // namespace proofdrive::analysis
