// Units of definition files brought to the unit a role is calculated in.
#pragma once

#include <optional>
#include <string_view>

namespace proofdrive::analysis {

// wanted = value * factor + offset.
struct UnitStep {
  double factor = 1;
  double offset = 0;
};
// nullopt when the units do not measure the same, or one is not known. Spelling does not matter
// (case, the ohm and degree signs). An empty `from` is taken as `to`.
std::optional<UnitStep> UnitFromTo(std::string_view from, std::string_view to);

}  // namespace proofdrive::analysis
