// What the states of a signal mean to the checks.
#pragma once

#include <string>

#include "analysis/checking/input.h"

namespace proofdrive::analysis {

// Fills in what its states mean, and removes the values that say that nothing is known ("init",
// "invalid"). Returns why the signal cannot be judged by, with the line to write: some value that
// was received is not understood. Empty: all are, or no check asks for states of its role.
std::string UnderstandStates(RoleSignal& signal);

}  // namespace proofdrive::analysis
