#include "decoders/definitions/unit_address.h"

namespace proofdrive::decoders {

UnitAddress AddressOf(const ControlUnit& unit) {
  return {{unit.request, unit.extended, unit.address_byte},
          {unit.answer, unit.extended, unit.answer_byte},
          unit.fd};
}

AddressBook AddressBookOf(const Definitions* definitions) {
  AddressBook book;
  if (definitions == nullptr) return book;
  for (const ControlUnit& unit : definitions->control_units) book.Add(AddressOf(unit));
  return book;
}

}  // namespace proofdrive::decoders
