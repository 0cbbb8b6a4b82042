// What the figures of the checks should have said.
#pragma once

#include <map>
#include <string>

#include "tests/fleet/physics/life.h"
#include "tests/fleet/sensors/sent.h"

namespace proofdrive::fleet {

// By "CHECK/FIGURE", for the figures whose truth the fleet knows, in their units.
std::map<std::string, double> TruthOf(const Car& car, const Life& life, const Sent& sent);

}  // namespace proofdrive::fleet
