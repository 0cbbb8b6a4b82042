// The roles that checks and findings look for. A row here is all it takes to have a new one.
#pragma once

#include <span>
#include <string_view>

namespace proofdrive::decoders {

struct Role {
  std::string_view name;
  std::string_view unit;     // the one checks calculate in
  std::string_view meaning;  // one line
};

std::span<const Role> AllRoles();

}  // namespace proofdrive::decoders
