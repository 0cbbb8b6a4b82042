// The bench vehicle's own source of chance. The distributions of the standard library differ
// between implementations, so they are not used: the same seed must give the same frames
// everywhere.
#pragma once

#include <cstdint>

namespace proofdrive::bench {

// SplitMix64 (from memory). Only integer operations and exact conversions, no mathematical library.
class Random {
 public:
  // Streams of one seed are independent of each other.
  Random(std::uint64_t seed, std::uint64_t stream);

  std::uint64_t Next();
  // 0 <= x < 1, a multiple of 2^-53.
  double Uniform();
  double Uniform(double low, double high) { return low + (high - low) * Uniform(); }
  // 0 <= n < limit. REQUIRES: limit > 0.
  std::uint32_t Below(std::uint32_t limit);
  // Mean 0, standard deviation 1, within +-6: the sum of twelve uniform numbers.
  double Normal();

 private:
  std::uint64_t state_;
};

}  // namespace proofdrive::bench
