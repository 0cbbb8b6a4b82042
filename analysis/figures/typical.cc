#include "analysis/figures/typical.h"

#include <cmath>
#include <vector>

#include "analysis/checking/unit_conversion.h"
#include "analysis/statistics/robust.h"

namespace proofdrive::analysis {

std::optional<Typical> TypicalOf(const SessionFindings& findings, std::uint32_t signal) {
  if (signal >= findings.windows.size()) return std::nullopt;
  std::vector<double> values;
  for (const float window : findings.windows[signal]) {
    if (!std::isnan(window)) values.push_back(static_cast<double>(window));
  }
  if (values.empty()) return std::nullopt;
  return Typical{Quantile(values, 0.5), Quantile(values, 0.1), Quantile(values, 0.9)};
}

std::optional<double> MiddleOfRole(const SessionFindings& findings, decoders::RoleName role) {
  if (findings.definitions == nullptr) return std::nullopt;
  for (const std::uint32_t signal : findings.definitions->SignalsWithRole(role)) {
    const auto typical = TypicalOf(findings, signal);
    const auto step =
        UnitFromTo(findings.definitions->signals[signal].unit, decoders::FindRole(role)->unit);
    if (typical && step) return typical->middle * step->factor + step->offset;
  }
  return std::nullopt;
}

}  // namespace proofdrive::analysis
