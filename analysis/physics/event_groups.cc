#include "analysis/physics/event_groups.h"

#include <algorithm>

namespace proofdrive::analysis {

std::vector<std::vector<TimedEvent>> GroupByTime(std::vector<TimedEvent> events, double gap_s) {
  std::stable_sort(events.begin(), events.end(),
                   [](const TimedEvent& a, const TimedEvent& b) { return a.at_s < b.at_s; });
  std::vector<std::vector<TimedEvent>> groups;
  for (TimedEvent& event : events) {
    if (groups.empty() || event.at_s - groups.back().back().at_s > gap_s) groups.emplace_back();
    groups.back().push_back(std::move(event));
  }
  return groups;
}

}  // namespace proofdrive::analysis
