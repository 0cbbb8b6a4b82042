#include "analysis/physics/standby.h"

#include <cmath>

namespace proofdrive::analysis {
namespace {

double Hours(std::span<const Pause> pauses) {
  double hours = 0;
  for (const Pause& pause : pauses) hours += pause.hours;
  return hours;
}

}  // namespace

double LossPerDay(std::span<const Pause> pauses) {
  const double hours = Hours(pauses);
  double lost = 0;
  for (const Pause& pause : pauses) lost += pause.lost_percent;
  return hours > 0 ? 24 * lost / hours : 0;
}

double LossUncertainty(std::span<const Pause> pauses, double step_percent, double settle_percent) {
  const double hours = Hours(pauses);
  if (hours <= 0) return 0;
  const double each = 2 * step_percent * step_percent / 12 + settle_percent * settle_percent;
  return 24 * std::sqrt(static_cast<double>(pauses.size()) * each) / hours;
}

double LossWatt(double percent_per_day, double usable_kwh) {
  return percent_per_day / 100 * usable_kwh * 1000 / 24;
}

}  // namespace proofdrive::analysis
