// Every fault that docs/checks.md says a check looks for, in five sizes from hardly there to gross.
#pragma once

#include <array>
#include <iosfwd>
#include <span>
#include <string_view>

#include "tests/fleet/car/car.h"

namespace proofdrive::fleet {

struct FaultRow {
  std::string_view name;   // "insulation-leak"
  std::string_view check;  // that should find it
  std::string_view what;
  std::string_view unit;
  std::array<double, 5> sizes;
  // The smallest of them that the document says is found: beyond the limit it names, or at the size
  // of its table. From there on "within limits" is wrong.
  std::size_t named;
  void (*make)(Car& car, double size);
  // Whether a car can have it at all; null: any.
  bool (*possible)(const Car& car) = nullptr;
};
std::span<const FaultRow> AllFaults();
// For test output.
void PrintTo(const FaultRow& row, std::ostream* out);
// nullptr when there is none of this name.
const FaultRow* FindFault(std::string_view name);

}  // namespace proofdrive::fleet
