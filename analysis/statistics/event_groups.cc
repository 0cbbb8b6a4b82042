#include "analysis/statistics/event_groups.h"

#include <algorithm>

namespace proofdrive::analysis {

std::vector<std::vector<NamedOccurrence>> GroupByTime(std::vector<NamedOccurrence> events,
                                                      double gap_s) {
  std::stable_sort(
      events.begin(), events.end(),
      [](const NamedOccurrence& a, const NamedOccurrence& b) { return a.at_s < b.at_s; });
  std::vector<std::vector<NamedOccurrence>> groups;
  for (NamedOccurrence& event : events) {
    if (groups.empty() || event.at_s - groups.back().back().at_s > gap_s) groups.emplace_back();
    groups.back().push_back(std::move(event));
  }
  return groups;
}

}  // namespace proofdrive::analysis
