#include "analysis/checks/parts/clipped_current.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr std::size_t kFewest = 3;  // values at the end of a stated range
// Without one: stretches at the largest value of this length, in which the voltage moves and comes
// back by this part of what the whole current makes of it; so many of them (proposals).
constexpr double kLeastStretch = 1;  // s
constexpr double kMoves = 0.1;
constexpr std::size_t kFewestStretches = 2;
constexpr double kLowShare = 0.1;  // of the largest current: little voltage is lost

bool AtEnd(const RoleSignal& signal, double value) {
  if (signal.range_high <= signal.range_low) return false;
  const double most = std::max(std::fabs(signal.range_low), std::fabs(signal.range_high));
  return std::fabs(value) >= most - 1.01 * signal.step && std::fabs(value) > 0;
}

// How far the voltage leaves both of its ends within `time`, in the direction of `sign`.
double Excursion(const Track& pack, const Interval& time, double sign) {
  const Track part = Between(pack, time.from_s, time.to_s);
  if (part.size() < 4) return 0;
  double most = 0;
  for (const double volt : part.value) {
    most = std::max(
        most, std::min(sign * (part.value.front() - volt), sign * (part.value.back() - volt)));
  }
  return most;
}

// Largest value of this sign at which the voltage says that the current goes on; 0: there is none.
double HiddenAt(const RoleSignal& signal, const Track& pack, double sign) {
  const Track& track = signal.track();
  double most = 0;
  for (const double value : track.value) most = std::max(most, sign * value);
  if (most <= 0 || pack.empty()) return 0;
  const double gap = CheckInput::Gap(track);
  const auto at_most = [&](double value) { return sign * value > most - 0.5 * signal.step; };
  const Intervals stretches = AtLeast(Where(track, gap, at_most), kLeastStretch);
  if (stretches.size() < kFewestStretches) return 0;
  const Intervals low =
      Where(track, gap, [&](double value) { return std::fabs(value) < kLowShare * most; });
  const double whole =
      std::fabs(Median(KeepIn(pack, low).value) - Median(KeepIn(pack, stretches).value));
  std::size_t moving = 0;
  for (const Interval& stretch : stretches) {
    if (whole > 0 && Excursion(pack, stretch, sign) > kMoves * whole) ++moving;
  }
  return moving >= kFewestStretches && 2 * moving >= stretches.size() ? most : 0;
}

}  // namespace

ClippedCurrent WithoutClipped(const RoleSignal& current, const Track& pack) {
  ClippedCurrent result;
  result.current = current.track();
  const Track& track = current.track();
  std::vector<bool> clipped(track.size(), false);
  const auto mark = [&](const auto& is) {
    for (std::size_t i = 0; i < track.size(); ++i) {
      if (is(track.value[i])) clipped[i] = true;
    }
  };
  const auto stated = [&](double value) { return AtEnd(current, value); };
  const auto ends = std::count_if(track.value.begin(), track.value.end(), stated);
  if (static_cast<std::size_t>(ends) >= kFewest) mark(stated);
  for (const double sign : {1.0, -1.0}) {
    const double most = HiddenAt(current, pack, sign);
    if (most > 0) mark([&](double value) { return sign * value > most - 0.5 * current.step; });
  }
  for (std::size_t i = 0; i < track.size(); ++i) {
    if (!clipped[i]) continue;
    ++result.values;
    result.at_a = std::max(result.at_a, std::fabs(track.value[i]));
    for (std::size_t j = i > 0 ? i - 1 : 0; j <= std::min(i + 1, track.size() - 1); ++j) {
      result.current.value[j] = std::numeric_limits<double>::quiet_NaN();
    }
  }
  return result;
}

}  // namespace proofdrive::analysis
