// The dice of the fleet: one seed gives the same car on every machine and in every build.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

namespace proofdrive::fleet {

class Random {
 public:
  explicit Random(std::uint64_t seed);
  // Dice of their own for one part, so that a draw added in one does not change another.
  Random Fork(std::string_view part) const;

  std::uint64_t Bits();
  double Uniform(double low, double high);
  // REQUIRES: 0 < low <= high.
  double LogUniform(double low, double high);
  // Standard normal.
  double Normal();
  // Normal, never further from 0 than `most` standard deviations.
  double ClippedNormal(double most);
  // Standard normal out of a fixed table: for the noise of millions of values.
  double Noise();
  bool Chance(double share);
  // REQUIRES: count > 0.
  std::size_t Below(std::size_t count);

  template <typename T>
  const T& Pick(const std::vector<T>& list) {
    return list[Below(list.size())];
  }

 private:
  std::uint64_t seed_;
  std::uint64_t state_;
};

}  // namespace proofdrive::fleet
