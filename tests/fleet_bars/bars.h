// What is wanted of the checks on random cars, and what chance may do to a share of so many.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace proofdrive::fleet {

// A run fails when a bar is broken beyond what happens once in so many runs (exact binomial).
constexpr double kChance = 1e-4;

// "" when `hits` of `count` may come from a share of at most, or at least, this much; else a
// sentence that names both.
std::string BrokenAbove(std::string_view what, std::size_t hits, std::size_t count, double most);
std::string BrokenBelow(std::string_view what, std::size_t hits, std::size_t count, double least);

// Shares that are wanted, or today's where they are not met yet (docs/fleet.md says which).
struct Range {
  double least = 0, most = 1;
};
double MostOutside();                       // of the cars
double MostAlarmed();                       // of the cars
double LeastWithin();                       // of the cars that give all a check asks for
Range Coverage(std::string_view figure);    // of stated 95 % intervals
double LeastFound(std::string_view fault);  // at the named size
double MostWithin(std::string_view fault);  // at the named size

// PROOFDRIVE_FLEET_SEED chooses other cars; the same seed is the same cars.
std::uint64_t SeedOfTheRun();

}  // namespace proofdrive::fleet
