#include "analysis/figures/matched_windows.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::analysis {
namespace {

bool Near(const Point& a, const Point& b) {
  for (std::size_t i = 0; i < a.size(); ++i) {
    const bool none = std::isnan(a[i]);
    if (none != std::isnan(b[i])) return false;
    if (!none && std::fabs(a[i] - b[i]) > 1) return false;
  }
  return true;
}

// The values of one side around a point.
struct Around {
  std::size_t count = 0;
  double sum = 0;
  double mean() const { return sum / static_cast<double>(count); }
};

Around ValuesAround(const Point& point, const Windows& windows) {
  Around around;
  for (std::size_t i = 0; i < windows.values.size(); ++i) {
    if (!Near(point, windows.points[i])) continue;
    ++around.count;
    around.sum += windows.values[i];
  }
  return around;
}

// Seen from the windows of one side.
struct Side {
  double weights = 0;  // each window counts by how much of its surroundings the other side has
  double difference = 0;
  std::vector<double> rest;
};

Side SideOf(const Windows& own, const Windows& other) {
  Side side;
  const auto all_own = static_cast<double>(own.values.size());
  const auto all_other = static_cast<double>(other.values.size());
  for (std::size_t i = 0; i < own.values.size(); ++i) {
    const Around here = ValuesAround(own.points[i], own);
    const Around there = ValuesAround(own.points[i], other);
    if (there.count == 0) continue;
    const double share_here = static_cast<double>(here.count) / all_own;
    const double share_there = static_cast<double>(there.count) / all_other;
    const double weight = std::min(1.0, share_there / share_here);
    side.weights += weight;
    side.difference += weight * (there.mean() - here.mean());
    side.rest.push_back(own.values[i] - (here.mean() + there.mean()) / 2);
  }
  return side;
}

}  // namespace

Matched MatchWindows(const Windows& before, const Windows& after) {
  Matched matched;
  if (before.values.empty() || after.values.empty()) return matched;
  Side a = SideOf(before, after);
  Side b = SideOf(after, before);
  const double share_a = a.weights / static_cast<double>(before.values.size());
  const double share_b = b.weights / static_cast<double>(after.values.size());
  matched.overlap = (share_a + share_b) / 2;
  if (a.weights > 0 && b.weights > 0) {
    matched.difference = (a.difference / a.weights - b.difference / b.weights) / 2;
  }
  matched.before = std::move(a.rest);
  matched.after = std::move(b.rest);
  return matched;
}

}  // namespace proofdrive::analysis
