#include "analysis/checking/rest.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kFromTheStart = 1;  // s
constexpr double kAsleep = 600;      // s of silence that do not end a rest: parked networks sleep

}  // namespace

Intervals RestingTime(const CheckInput& input, const CheckSettings& settings) {
  const Track& current = input.TrackOf("pack current");
  if (current.empty()) return {{0, input.length_s}};
  const double quiet = settings.Get("rest.current");
  return Where(current, std::max(kAsleep, CheckInput::Gap(current)),
               [quiet](double amps) { return std::fabs(amps) < quiet; });
}

double RestedSeconds(const Interval& interval, const CheckSettings& settings) {
  const double before = interval.from_s <= kFromTheStart ? 3600 * settings.Get("rest.before") : 0;
  return interval.length() + before;
}

std::vector<double> RestedCells(const CheckInput& input, const Interval& interval, double tail_s) {
  std::vector<double> volts;
  const RoleSignal* cells = input.Find("cell voltages");
  if (cells == nullptr) return volts;
  const Interval tail = {std::max(interval.from_s, interval.to_s - tail_s), interval.to_s};
  const Intervals bleeding = input.WhereState("balancing", {Meaning::kOn});
  const Intervals quiet = Both({tail}, Outside(bleeding, input.length_s + 1));
  for (const Track& cell : cells->elements) {
    Track part = KeepIn(cell, quiet);
    if (part.empty()) part = KeepIn(cell, {tail});
    volts.push_back(part.empty() ? std::numeric_limits<double>::quiet_NaN() : Median(part.value));
  }
  return volts;
}

}  // namespace proofdrive::analysis
