#include "bench/frames/frame_writer.h"

#include <string_view>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace proofdrive::bench {
namespace {

using ::testing::ElementsAre;

std::vector<std::uint8_t> BytesOf(const Payload& payload) {
  return {payload.bytes().begin(), payload.bytes().end()};
}

std::vector<std::uint8_t> CheckText() {
  const std::string_view text = "123456789";
  return {text.begin(), text.end()};
}

TEST(ChecksumTest, Crc8MatchesTheCheckValueOfSaeJ1850) {
  // Check value 0x4B for "123456789": AUTOSAR Specification of CRC Routines, 8-bit SAE J1850.
  EXPECT_EQ(Checksum(ChecksumKind::kCrc8J1850, CheckText(), -1), 0x4B);
}

TEST(ChecksumTest, XorAndSumOfTheCheckText) {
  // 0x31 ^ ... ^ 0x39 and (0x31 + ... + 0x39) mod 256, worked out by hand.
  EXPECT_EQ(Checksum(ChecksumKind::kXor, CheckText(), -1), 0x31);
  EXPECT_EQ(Checksum(ChecksumKind::kSum, CheckText(), -1), 0xDD);
}

TEST(ChecksumTest, LeavesItsOwnPlaceOut) {
  const std::vector<std::uint8_t> with = {1, 2, 0xEE, 4};
  const std::vector<std::uint8_t> without = {1, 2, 4};
  for (const ChecksumKind kind :
       {ChecksumKind::kCrc8J1850, ChecksumKind::kXor, ChecksumKind::kSum}) {
    EXPECT_EQ(Checksum(kind, with, 2), Checksum(kind, without, -1));
  }
}

TEST(RawOfTest, RoundsHalvesUpwardAndLimits) {
  EXPECT_EQ(RawOf(2.5, 1, 0, 0, 10), 3);
  EXPECT_EQ(RawOf(-2.5, 1, 0, -10, 10), -2);
  EXPECT_EQ(RawOf(21.34, 0.1, -40, 0, 4094), 613);
  EXPECT_EQ(RawOf(99, 1, 0, 0, 10), 10);
  EXPECT_EQ(RawOf(-99, 1, 0, 0, 10), 0);
  EXPECT_EQ(RawOf(0.0 / 1.0 - 1e300 * 1e300, 1, 0, 0, 10), 0);
}

TEST(PayloadTest, PutsBytesBigEndian) {
  Payload payload(4);
  payload.PutUnsigned(0, 2, 0x1234, 1);
  payload.PutSigned(2, 2, -2, 1);
  EXPECT_THAT(BytesOf(payload), ElementsAre(0x12, 0x34, 0xFF, 0xFE));
}

TEST(PayloadTest, KeepsTheAbsentPatternFree) {
  Payload payload(3);
  payload.PutUnsigned(0, 1, 1000, 1);
  EXPECT_EQ(payload.at(0), 0xFE);
  payload.PutAbsent(1, 2);
  EXPECT_THAT(BytesOf(payload), ElementsAre(0xFE, 0xFF, 0xFF));
}

TEST(PayloadTest, PutBitsTouchesNoOtherBits) {
  Payload payload(1);
  payload.PutInteger(0, 1, 0xFF);
  payload.PutBits(0, 2, 3, 0b010);
  EXPECT_EQ(payload.at(0), 0b11101011);
  payload.PutBits(0, 2, 3, 0xFF);
  EXPECT_EQ(payload.at(0), 0xFF);
}

}  // namespace
}  // namespace proofdrive::bench
