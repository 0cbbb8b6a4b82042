#include "analysis/checks/parts/rest_capacity.h"

#include <algorithm>
#include <cmath>

#include "analysis/checking/rest.h"
#include "analysis/checks/parts/charge_by_voltage.h"
#include "analysis/physics/charge_count.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

// s of a rest that are used: the last ones, more where a parked network seldom sends.
constexpr double kTails[] = {30, 300, 1800};
constexpr double kMostGap = 2;
constexpr double kOffsetAmps = 0.15;  // of the current sensor (proposal)
constexpr double kBeyondNew = 2;      // errors by which more than possible rules a curve out

double MedianOf(const std::vector<double>& volts) {
  std::vector<double> known;
  for (const double volt : volts) {
    if (!std::isnan(volt)) known.push_back(volt);
  }
  return known.empty() ? std::nan("") : Median(std::move(known));
}

}  // namespace

std::vector<RestPoint> RestPoints(CheckDraft& draft) {
  const CheckInput& input = draft.input();
  draft.Limit("rest.current");
  const double hours = draft.Limit("rest.hours");
  std::vector<RestPoint> points;
  for (const Interval& rest : RestingTime(input, draft.settings())) {
    if (RestedSeconds(rest, draft.settings()) < NeededRestSeconds(input, hours, rest)) continue;
    RestPoint point;
    for (const double tail : kTails) {
      point.volts = RestedCells(input, rest, tail);
      point.middle_v = MedianOf(point.volts);
      if (!std::isnan(point.middle_v)) break;
    }
    if (std::isnan(point.middle_v)) continue;
    point.at_s = rest.to_s;
    points.push_back(std::move(point));
  }
  return points;
}

double UnknownCharge(const Track& current, double quiet_a) {
  double sum = 0;
  for (std::size_t i = 1; i < current.size(); ++i) {
    const double gap = current.time_s[i] - current.time_s[i - 1];
    const double most = std::max(std::fabs(current.value[i]), std::fabs(current.value[i - 1]));
    if (gap > kMostGap && most >= quiet_a) sum += most * gap / 3600;
  }
  return sum;
}

std::optional<CapacitySpan> CapacityBy(const std::vector<OpenCurve>& curves, const RestPoint& a,
                                       const RestPoint& b, double ah, double unknown_ah,
                                       double step_v, double most_ah) {
  CapacitySpan span;
  const double volt_error = RestedVoltError(step_v);
  for (const OpenCurve& curve : curves) {
    const double from = curve.ChargeAt(a.middle_v), to = curve.ChargeAt(b.middle_v);
    CountErrors errors;
    errors.charge =
        std::hypot(ChargeError(curve, from, volt_error), ChargeError(curve, to, volt_error)) /
        std::sqrt(2.0);
    errors.offset_a = kOffsetAmps;
    errors.ah = unknown_ah;
    const Capacity one = CapacityBetween(ah, from, to, (b.at_s - a.at_s) / 3600, errors);
    if (one.ah <= 0) continue;
    if (most_ah > 0 && curves.size() > 1 && one.ah - kBeyondNew * one.uncertainty_ah > most_ah) {
      continue;
    }
    const double swing = std::fabs(from - to);
    const bool first = span.curves.empty();
    span.low_ah = first ? one.ah : std::min(span.low_ah, one.ah);
    span.high_ah = std::max(span.high_ah, one.ah);
    span.low_swing = first ? swing : std::min(span.low_swing, swing);
    span.high_swing = std::max(span.high_swing, swing);
    span.error_ah = std::max(span.error_ah, one.uncertainty_ah);
    span.curves.push_back(curve.name());
  }
  if (span.curves.empty()) return std::nullopt;
  return span;
}

}  // namespace proofdrive::analysis
