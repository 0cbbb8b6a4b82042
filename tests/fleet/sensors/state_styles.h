// Names of states as makers write them, in three languages (invented, common practice), in the
// letters that a definition file allows.
#pragma once

#include <string>
#include <vector>

#include "tests/fleet/random.h"
#include "tests/fleet/sensors/sensor.h"

namespace proofdrive::fleet {

// One style for this role, in the order in which the sender counts them (send.cc): what is usual
// first. Empty for a role without states.
std::vector<StateName> DrawStates(Random& random, const std::string& role);

// Every name of the state with this number, for tests.
std::vector<std::string> NamesOf(const std::string& role, std::size_t state);

}  // namespace proofdrive::fleet
