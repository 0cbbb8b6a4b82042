// Where the control units of the definition files are asked and where they answer.
#pragma once

#include "decoders/model/definitions.h"
#include "decoders/transport/addresses.h"

namespace proofdrive::decoders {

UnitAddress AddressOf(const ControlUnit& unit);

// All of them with their names; `definitions` may be null.
std::vector<NamedUnit> NamedUnitsOf(const Definitions* definitions);

// Of all of them; `definitions` may be null.
AddressBook AddressBookOf(const Definitions* definitions);

}  // namespace proofdrive::decoders
