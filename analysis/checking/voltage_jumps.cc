#include "analysis/checking/voltage_jumps.h"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace proofdrive::analysis {
namespace {

constexpr double kSeldom = 1;       // s between two readings of the current
constexpr double kLate = 1;         // s by which the two may be apart
constexpr double kExplains = 3;     // times the resistance seen (proposal: the cold, one direction)
constexpr double kAtTheEnd = 0.98;  // of the largest current: it may have been more

struct Reach {
  double low = 0, high = 0;
  bool known = false;
};

Reach ReachOf(const Track& amps, double from_s, double to_s) {
  const auto begin = std::lower_bound(amps.time_s.begin(), amps.time_s.end(), from_s);
  const auto end = std::upper_bound(begin, amps.time_s.end(), to_s);
  if (std::distance(begin, end) < 2) return {};
  const auto first = amps.value.begin() + std::distance(amps.time_s.begin(), begin);
  const auto [low, high] = std::minmax_element(first, first + std::distance(begin, end));
  return {*low, *high, true};
}

}  // namespace

std::vector<std::size_t> UnexplainedJumps(const Track& volts, const Track& amps, double ohm,
                                          double floor_v) {
  std::vector<std::size_t> jumps;
  if (amps.size() < 2 || Period(amps) > kSeldom || ohm <= 0) return jumps;
  const auto [least, most] = std::minmax_element(amps.value.begin(), amps.value.end());
  for (std::size_t i = 1; i + 1 < volts.size(); ++i) {
    const double up = volts.value[i] - volts.value[i - 1];
    const double down = volts.value[i + 1] - volts.value[i];
    const double jump = std::min(std::fabs(up), std::fabs(down));
    if (up * down >= 0 || jump <= floor_v) continue;
    const Reach reach = ReachOf(amps, volts.time_s[i - 1] - kLate, volts.time_s[i + 1] + kLate);
    if (!reach.known) continue;
    const bool clipped = reach.high > kAtTheEnd * *most || reach.low < kAtTheEnd * *least;
    if (!clipped && jump > kExplains * ohm * (reach.high - reach.low)) jumps.push_back(i);
  }
  return jumps;
}

}  // namespace proofdrive::analysis
