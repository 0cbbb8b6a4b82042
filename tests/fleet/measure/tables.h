// The tables: for people, and as JSON.
#pragma once

#include <string>

#include "tests/fleet/measure/tally.h"

namespace proofdrive::fleet {

std::string HealthyText(const HealthyTally& tally, const Plan& plan);
std::string FaultsText(const std::vector<FaultTally>& tallies);
// {"healthy": {...}, "faults": [...]}; shares with their 95 % limits.
std::string TablesJson(const HealthyTally& healthy, const std::vector<FaultTally>& faults,
                       const Plan& plan);

}  // namespace proofdrive::fleet
