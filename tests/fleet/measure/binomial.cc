#include "tests/fleet/measure/binomial.h"

#include <cmath>

namespace proofdrive::fleet {
namespace {

constexpr double kTail = 0.025;

double AtMost(std::size_t hits, std::size_t count, double share) {
  if (share <= 0) return 1;
  if (share >= 1) return hits >= count ? 1 : 0;
  const auto n = static_cast<double>(count);
  double sum = 0;
  for (std::size_t i = 0; i <= hits; ++i) {
    const auto k = static_cast<double>(i);
    sum += std::exp(std::lgamma(n + 1) - std::lgamma(k + 1) - std::lgamma(n - k + 1) +
                    k * std::log(share) + (n - k) * std::log1p(-share));
  }
  return sum;
}

// The share at which P(at most `hits`) is `wanted`: it falls with the share.
double ShareAt(std::size_t hits, std::size_t count, double wanted) {
  double low = 0;
  double high = 1;
  for (int i = 0; i < 50; ++i) {
    const double middle = (low + high) / 2;
    (AtMost(hits, count, middle) > wanted ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace

ShareLimits LimitsOfShare(std::size_t hits, std::size_t count) {
  if (count == 0) return {};
  ShareLimits limits;
  limits.low = hits == 0 ? 0 : ShareAt(hits - 1, count, 1 - kTail);
  limits.high = hits == count ? 1 : ShareAt(hits, count, kTail);
  return limits;
}

double ChanceOfAtMost(std::size_t hits, std::size_t count, double share) {
  return AtMost(hits, count, share);
}

double ChanceOfAtLeast(std::size_t hits, std::size_t count, double share) {
  return hits == 0 ? 1 : ChanceOfAtMost(count - hits, count, 1 - share);
}

}  // namespace proofdrive::fleet
