// The parts of the table, by what they break.
#pragma once

#include <span>

#include "tests/fleet/faults/fault_table.h"

namespace proofdrive::fleet {

std::span<const FaultRow> CarFaults();
std::span<const FaultRow> HighVoltageFaults();
std::span<const FaultRow> PackFaults();
std::span<const FaultRow> DefinitionFaults();

}  // namespace proofdrive::fleet
