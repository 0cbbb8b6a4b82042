// What happened first: events in order of time, split where nothing happens for a while.
#pragma once

#include <string>
#include <vector>

namespace proofdrive::analysis {

struct NamedOccurrence {
  double at_s = 0;
  std::string name;
};

// Groups in order of time; a new one begins after more than `gap_s` without an event. The first
// member of a group is where to look first.
std::vector<std::vector<NamedOccurrence>> GroupByTime(std::vector<NamedOccurrence> events,
                                                      double gap_s);

}  // namespace proofdrive::analysis
