#include "bench/car/random.h"

namespace proofdrive::bench {
namespace {

constexpr std::uint64_t kStep = 0x9E3779B97F4A7C15;

std::uint64_t Mix(std::uint64_t z) {
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
  return z ^ (z >> 31);
}

}  // namespace

Random::Random(std::uint64_t seed, std::uint64_t stream)
    : state_(Mix(seed + kStep) ^ Mix(stream * kStep)) {}

std::uint64_t Random::Next() {
  state_ += kStep;
  return Mix(state_);
}

double Random::Uniform() {
  constexpr double kTwoToMinus53 = 1.0 / 9007199254740992.0;
  return static_cast<double>(Next() >> 11) * kTwoToMinus53;
}

std::uint32_t Random::Below(std::uint32_t limit) {
  return static_cast<std::uint32_t>(((Next() >> 32) * limit) >> 32);
}

double Random::Normal() {
  double sum = 0;
  for (int i = 0; i < 12; ++i) sum += Uniform();
  return sum - 6;
}

}  // namespace proofdrive::bench
