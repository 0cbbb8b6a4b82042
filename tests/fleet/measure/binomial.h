// How sure a share of so many is.
#pragma once

#include <cstddef>

namespace proofdrive::fleet {

struct ShareLimits {
  double low = 0, high = 1;
};
// Exact limits of Clopper and Pearson (1934), 95 % two-sided. `count` 0: nothing is known.
ShareLimits LimitsOfShare(std::size_t hits, std::size_t count);

}  // namespace proofdrive::fleet
