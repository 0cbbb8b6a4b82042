#include "output/pcapng/timestamps.h"

#include <limits>

namespace proofdrive::output {
namespace {

__extension__ typedef __int128 Int128;
__extension__ typedef unsigned __int128 Uint128;

constexpr std::uint32_t kNanosecondsPerSecond = 1'000'000'000;

// Ticks of 2^-exponent s. ticks * 10^9 is below 2^94, so a larger exponent leaves nothing.
Uint128 FromBinary(std::uint64_t ticks, unsigned exponent) {
  if (exponent >= 94) return 0;
  return (static_cast<Uint128>(ticks) * kNanosecondsPerSecond) >> exponent;
}

// Ticks of 10^-exponent s.
Uint128 FromDecimal(std::uint64_t ticks, unsigned exponent) {
  Uint128 value = ticks;
  for (; exponent < 9; ++exponent) value *= 10;
  for (; exponent > 9 && value != 0; --exponent) value /= 10;
  return value;
}

}  // namespace

std::optional<WallTime> TicksToWallTime(std::uint64_t ticks, const TimeScale& scale) {
  const unsigned exponent = scale.resolution & 0x7FU;
  const bool binary = (scale.resolution & 0x80U) != 0;
  const Uint128 fine = binary ? FromBinary(ticks, exponent) : FromDecimal(ticks, exponent);
  const Int128 total =
      static_cast<Int128>(fine) + static_cast<Int128>(scale.offset_seconds) * kNanosecondsPerSecond;
  if (total > std::numeric_limits<std::int64_t>::max() ||
      total < std::numeric_limits<std::int64_t>::min()) {
    return std::nullopt;
  }
  return WallFromNanoseconds(static_cast<std::int64_t>(total));
}

}  // namespace proofdrive::output
