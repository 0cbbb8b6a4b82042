// Which windows of two sessions can be held against each other: those in which the car did about
// the same. Nothing has edges: every window is compared with all that are near it.
#pragma once

#include <array>
#include <vector>

namespace proofdrive::analysis {

// What signals said of what the car did in one window, each in units of how far apart two windows
// may be to be near each other; NaN = nothing, which is near nothing but another NaN. 0 for what is
// not looked at.
using Point = std::array<float, 3>;

struct Windows {
  std::vector<double> values;
  std::vector<Point> points;  // one for each value
};

struct Matched {
  double overlap = 0;     // 0..1: the share of both sides that can be compared
  double difference = 0;  // after - before, weighted by the overlap; 0 without any
  // The values that are near a window of the other side, in order of time, less the middle of both
  // means around each: what is left is the difference between the sessions.
  std::vector<double> before, after;
};
// Of a distribution in bands the overlap is the sum of the smaller shares; here each window is the
// middle of a band of its own.
Matched MatchWindows(const Windows& before, const Windows& after);

}  // namespace proofdrive::analysis
