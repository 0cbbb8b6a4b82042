#include "analysis/physics/supply_battery.h"

#include <cstddef>

namespace proofdrive::analysis {
namespace {

constexpr double kVolt[] = {11.89, 12.06, 12.24, 12.45, 12.65};
constexpr double kPercentPerRow = 25;

}  // namespace

double LeadAcidPercent(double rested_volt) {
  if (rested_volt <= kVolt[0]) return 0;
  for (std::size_t i = 1; i < sizeof(kVolt) / sizeof(kVolt[0]); ++i) {
    if (rested_volt > kVolt[i]) continue;
    const double part = (rested_volt - kVolt[i - 1]) / (kVolt[i] - kVolt[i - 1]);
    return kPercentPerRow * (static_cast<double>(i - 1) + part);
  }
  return 100;
}

}  // namespace proofdrive::analysis
