// Does a recording hold all that docs/checks.md asks for?
#pragma once

#include <string_view>

#include "tests/fleet/physics/life.h"

namespace proofdrive::fleet {

// Every role, every page, a drive of ten minutes and the rest of its temperature: all cars that
// send everything have them. Capacity asks for two rests with 30 % of charge between them, its
// chemistry and its capacity besides, the standby loss for six settled hours, pre-charge for ten
// readings of the link voltage while it lasts.
bool GivesAllFor(std::string_view check, const Car& car, const Life& life);

}  // namespace proofdrive::fleet
