#include "analysis/compare/traffic_comparison.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::analysis {

bool MayBeChance(std::uint64_t count, double here, double there) {
  if (there <= 0) return true;
  return std::pow(here / (here + there), static_cast<double>(count)) >= kChance;
}

bool TrafficComparison::Same() const {
  const auto real = [](const OneSided& one) { return !one.may_be_chance; };
  return std::none_of(only_before.begin(), only_before.end(), real) &&
         std::none_of(only_after.begin(), only_after.end(), real) && period.empty() &&
         length.empty() && rate.empty() && jitter.empty() && bits.empty() && faults.empty() &&
         silent_units.empty() && std::all_of(buses.begin(), buses.end(), [](const BusChange& bus) {
           return bus.reasons.empty();
         });
}

}  // namespace proofdrive::analysis
