#include "output/pcapng/timestamps.h"

#include <gtest/gtest.h>

#include <limits>

#include "core/base/bytes.h"
#include "tests/unit/output/pcapng/capture_bytes.h"

namespace proofdrive::output {
namespace {

using namespace testing;  // NOLINT: capture_bytes.h

std::int64_t Ns(std::uint64_t ticks, std::uint8_t resolution, std::int64_t offset = 0) {
  const auto time = TicksToWallTime(ticks, {resolution, offset});
  return time ? ToNanoseconds(*time) : -1;
}

// IETF draft-ietf-opsawg-pcapng section 4.2, if_tsresol (looked up).
TEST(Timestamps, ResolutionAbsentIsMicroseconds) {
  EXPECT_EQ(ToNanoseconds(*TicksToWallTime(1, TimeScale{})), 1000);
}
TEST(Timestamps, ResolutionSixIsMicroseconds) { EXPECT_EQ(Ns(1, 6), 1000); }
TEST(Timestamps, ResolutionNineIsNanoseconds) { EXPECT_EQ(Ns(1, 9), 1); }
TEST(Timestamps, ResolutionZeroIsSeconds) { EXPECT_EQ(Ns(3, 0), 3'000'000'000); }
TEST(Timestamps, TopBitMeansPowersOfTwo) {
  EXPECT_EQ(Ns((std::uint64_t{1'700'000'000} << 10) + 512, 0x8A), 1'700'000'000'500'000'000);
  EXPECT_EQ(Ns(1, 0x80), 1'000'000'000);
}

// isb_starttime and isb_endtime examples of the draft, section 4.6 (looked up, recomputed).
TEST(Timestamps, ExampleOfStatisticsStartTime) {
  const Bytes bytes = FromHex("96c304007389 6a65");
  ByteReader reader(bytes);
  const std::uint64_t high = reader.Get<std::uint32_t>();
  const std::uint64_t ticks = (high << 32) | reader.Get<std::uint32_t>();
  EXPECT_EQ(FormatWallTime(*TicksToWallTime(ticks, {}), 6), "2012-06-29T06:17:00.834163Z");
}
TEST(Timestamps, ExampleOfStatisticsEndTime) {
  const Bytes bytes = FromHex("97c30400aa47ca64");
  ByteReader reader(bytes);
  const std::uint64_t high = reader.Get<std::uint32_t>();
  const std::uint64_t ticks = (high << 32) | reader.Get<std::uint32_t>();
  EXPECT_EQ(FormatWallTime(*TicksToWallTime(ticks, {}), 6), "2012-06-29T07:28:25.298858Z");
}

TEST(Timestamps, OffsetIsSignedSeconds) {
  EXPECT_EQ(Ns(5, 9, 1'700'000'000), 1'700'000'000'000'000'005);
  EXPECT_EQ(ToNanoseconds(*TicksToWallTime(0, {9, -1})), -1'000'000'000);
}

TEST(Timestamps, FinerThanNanosecondsIsRoundedDown) {
  EXPECT_EQ(Ns(1999, 12), 1);
  EXPECT_EQ(Ns(std::numeric_limits<std::uint64_t>::max(), 127), 0);
  EXPECT_EQ(Ns(std::numeric_limits<std::uint64_t>::max(), 0xFF), 0);
  // 2^-32 s: 1e9 * (2^64 - 1) / 2^32, rounded down.
  EXPECT_EQ(Ns(std::numeric_limits<std::uint64_t>::max(), 0xA0), 4'294'967'295'999'999'999);
}

TEST(Timestamps, OutsideTheClockIsNoTime) {
  EXPECT_FALSE(TicksToWallTime(std::numeric_limits<std::uint64_t>::max(), {9, 0}));
  EXPECT_FALSE(TicksToWallTime(0, {6, std::numeric_limits<std::int64_t>::max()}));
  EXPECT_FALSE(TicksToWallTime(0, {6, std::numeric_limits<std::int64_t>::min()}));
  EXPECT_TRUE(TicksToWallTime(std::numeric_limits<std::int64_t>::max(), {9, 0}));
  EXPECT_FALSE(TicksToWallTime(std::uint64_t{1} << 63, {9, 0}));
}

}  // namespace
}  // namespace proofdrive::output
