// What the checks say of one car, to look into a reason that the tables name.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "tests/fleet/car/car.h"
#include "tests/fleet/faults/fault_table.h"

namespace proofdrive::fleet {

// Answers with findings, figures and what is missing; of `checks` only, or of all when empty.
std::string ShowCar(Car car, const std::vector<std::string>& checks);

// The check that should find it, for each size.
std::string ShowFault(const Car& car, const FaultRow& row);

}  // namespace proofdrive::fleet
