#include "tests/fleet/random.h"

#include <array>
#include <cmath>
#include <numbers>

namespace proofdrive::fleet {
namespace {

constexpr std::size_t kNoiseValues = 16384;

// The finisher of a 64-bit mixing generator (Steele, Lea, Flood 2014; from memory).
std::uint64_t Mix(std::uint64_t z) {
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
  return z ^ (z >> 31);
}

const std::array<double, kNoiseValues>& NoiseTable() {
  static const std::array<double, kNoiseValues> table = [] {
    std::array<double, kNoiseValues> values{};
    Random random(0x5EED);
    for (double& value : values) value = random.Normal();
    return values;
  }();
  return table;
}

}  // namespace

Random::Random(std::uint64_t seed) : seed_(seed), state_(Mix(seed + 0x9E3779B97F4A7C15ULL)) {}

Random Random::Fork(std::string_view part) const {
  std::uint64_t hash = 0xCBF29CE484222325ULL ^ Mix(seed_);
  for (const char c : part) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001B3ULL;
  return Random(Mix(hash));
}

std::uint64_t Random::Bits() { return Mix(state_ += 0x9E3779B97F4A7C15ULL); }

double Random::Uniform(double low, double high) {
  return low + (high - low) * static_cast<double>(Bits() >> 11) * 0x1.0p-53;
}

double Random::LogUniform(double low, double high) {
  return std::exp(Uniform(std::log(low), std::log(high)));
}

double Random::Normal() {
  const double radius = std::sqrt(-2 * std::log(1 - Uniform(0, 1)));
  return radius * std::cos(2 * std::numbers::pi * Uniform(0, 1));
}

double Random::ClippedNormal(double most) {
  for (;;) {
    const double value = Normal();
    if (std::fabs(value) <= most) return value;
  }
}

double Random::Noise() { return NoiseTable()[Bits() % kNoiseValues]; }

bool Random::Chance(double share) { return Uniform(0, 1) < share; }

std::size_t Random::Below(std::size_t count) { return Bits() % count; }

}  // namespace proofdrive::fleet
