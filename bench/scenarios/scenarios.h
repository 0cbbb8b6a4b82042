// The stories the bench vehicle can tell, in two tables.
#pragma once

#include <string_view>
#include <vector>

#include "bench/car/scenario.h"

namespace proofdrive::bench {

struct ScenarioInfo {
  std::string_view name;         // "coolant-leak"
  std::string_view description;  // one line, for --help
};
// Every scenario of the story, in its order.
const std::vector<ScenarioInfo>& Scenarios();
// Whether Vehicle::Create knows it: one of those, or one made for a check (check_scenarios.cc).
bool HasScenario(std::string_view name);

// In the order of the story.
const std::vector<Scenario>& ScenarioTable();
// For each check a fault, something that only looks like it, and a healthy run; see
// check_scenarios.cc. Named "CHECK-fault", "CHECK-alike", "CHECK-healthy".
const std::vector<Scenario>& CheckScenarioTable();
// In either table; nullptr when there is none of this name.
const Scenario* FindScenario(std::string_view name);

}  // namespace proofdrive::bench
