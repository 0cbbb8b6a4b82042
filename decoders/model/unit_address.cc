#include "decoders/model/unit_address.h"

namespace proofdrive::decoders {

UnitAddress AddressOf(const ControlUnit& unit) {
  return {{unit.request, unit.extended, unit.address_byte},
          {unit.answer, unit.extended, unit.answer_byte},
          unit.fd};
}

std::vector<NamedUnit> NamedUnitsOf(const Definitions* definitions) {
  std::vector<NamedUnit> units;
  if (definitions == nullptr) return units;
  for (const ControlUnit& unit : definitions->control_units) {
    units.push_back({unit.name, AddressOf(unit)});
  }
  return units;
}

AddressBook AddressBookOf(const Definitions* definitions) {
  AddressBook book;
  for (const NamedUnit& unit : NamedUnitsOf(definitions)) book.Add(unit.address);
  return book;
}

}  // namespace proofdrive::decoders
