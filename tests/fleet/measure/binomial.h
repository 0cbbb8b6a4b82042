// How sure a share of so many is.
#pragma once

#include <cstddef>

namespace proofdrive::fleet {

struct ShareLimits {
  double low = 0, high = 1;
};
// Exact limits of Clopper and Pearson (1934), 95 % two-sided. `count` 0: nothing is known.
ShareLimits LimitsOfShare(std::size_t hits, std::size_t count);

// How probable at most, or at least, so many hits are when `share` of all are hits.
double ChanceOfAtMost(std::size_t hits, std::size_t count, double share);
double ChanceOfAtLeast(std::size_t hits, std::size_t count, double share);

}  // namespace proofdrive::fleet
