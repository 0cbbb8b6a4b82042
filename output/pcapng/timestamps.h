// Timestamps of captures: ticks of any resolution to nanoseconds, in exact integer arithmetic.
#pragma once

#include <cstdint>
#include <optional>

#include "core/base/time.h"

namespace proofdrive::output {

// How the ticks of one interface are to be read (options if_tsresol and if_tsoffset).
struct TimeScale {
  // As in the file: n for 10^-n s, or n with the top bit set for 2^-n s. Absent means 6.
  std::uint8_t resolution = 6;
  std::int64_t offset_seconds = 0;
};

// The instant `ticks` stands for. Finer resolutions than 1 ns are rounded down. nullopt when the
// result is outside what WallTime can hold (years 1677 to 2262).
std::optional<WallTime> TicksToWallTime(std::uint64_t ticks, const TimeScale& scale);

}  // namespace proofdrive::output
