// The two kinds of time, which do not mix: a date that may jump, and a counter that never does.
#pragma once

#include <chrono>
#include <cstdint>
#include <string>
#include <string_view>

#include "core/base/result.h"

namespace proofdrive {

using Duration = std::chrono::nanoseconds;

// Time since 1970-01-01 UTC. May step backward when somebody sets the clock.
using WallTime = std::chrono::time_point<std::chrono::system_clock, Duration>;

// Time since an arbitrary start (the boot of this machine). Never steps.
using SteadyTime = std::chrono::time_point<std::chrono::steady_clock, Duration>;

// Both clocks read at the same instant; two pairs tell how far the wall clock was stepped.
struct ClockPair {
  WallTime wall;
  SteadyTime steady;
};

inline WallTime WallFromNanoseconds(std::int64_t ns) { return WallTime(Duration(ns)); }
inline std::int64_t ToNanoseconds(WallTime time) { return time.time_since_epoch().count(); }
inline double ToSeconds(Duration duration) {
  return std::chrono::duration<double>(duration).count();
}
// Rounds to the nearest nanosecond.
Duration FromSeconds(double seconds);

// Reads "100 ms", "2 s", "10min", "1.5 h", and what FormatDuration writes, "3 min 05 s" (units us,
// ms, s, min, h, the larger first; the space is optional). A number without its unit is refused:
// "10" may be meant as minutes.
Result<Duration> ParseDuration(std::string_view text);

// For people: "0.25 s", "12.5 s", "92 s", "3 min 05 s", "3 min", "1 h 02 min".
std::string FormatDuration(Duration duration);
// The same, only as precise as a reader of a sentence needs it: "2.5 s", "13 s".
std::string SpokenDuration(Duration duration);
// The same of what fell short of `wanted`: "just under 60 s" where both would read alike.
std::string SpokenShort(Duration reached, Duration wanted);

// ISO 8601 in UTC with `decimals` (0, 3, 6 or 9) digits of a second: "2026-03-01T12:00:00.000Z".
std::string FormatWallTime(WallTime time, int decimals = 3);

// Seconds since 1970 with 6 decimals, "1700000000.123456", rounded down; exact for any WallTime.
std::string FormatEpochSeconds(WallTime time);

// ISO 8601 as FormatWallTime writes it (fraction optional), or seconds since 1970.
Result<WallTime> ParseWallTime(std::string_view text);

}  // namespace proofdrive
