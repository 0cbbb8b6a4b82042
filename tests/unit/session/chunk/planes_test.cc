#include "session/chunk/planes.h"

#include <gtest/gtest.h>

#include <iostream>
#include <random>

namespace proofdrive::session {
namespace {

TEST(BytePlanes, LeastSignificantByteOfAllValuesComesFirst) {
  const std::vector<std::uint64_t> values = {0x0102, 0x0304, 0x0506};
  const std::vector<std::uint8_t> planes = {0x02, 0x04, 0x06, 0x01, 0x03, 0x05};
  EXPECT_EQ(ToBytePlanes(values, 2), planes);
  std::vector<std::uint64_t> back(3);
  FromBytePlanes(planes, 2, back);
  EXPECT_EQ(back, values);
}

TEST(BitPlanes, FirstRowIsTheLeastSignificantBit) {
  // One byte per row: 01, 01, 03 -> XOR with the row before: 01, 00, 02.
  const std::vector<std::uint8_t> rows = {0x01, 0x01, 0x03};
  const std::vector<std::uint8_t> planes = {0b001, 0b100, 0, 0, 0, 0, 0, 0};
  EXPECT_EQ(ToXorBitPlanes(rows, 1), planes);
}

TEST(BitPlanes, RandomRowsComeBackForEveryStrideAndCount) {
  const std::uint64_t seed = std::random_device{}();
  std::cout << "seed " << seed << "\n";
  std::mt19937_64 random(seed);
  for (std::size_t stride = 1; stride <= 64; ++stride) {
    for (const std::size_t count : {1U, 7U, 8U, 9U, 63U, 64U, 65U, 200U}) {
      std::vector<std::uint8_t> rows(stride * count);
      for (std::uint8_t& byte : rows) byte = static_cast<std::uint8_t>(random());
      const std::vector<std::uint8_t> planes = ToXorBitPlanes(rows, stride);
      ASSERT_EQ(planes.size(), 8 * stride * BitPlaneBytes(count));
      std::vector<std::uint8_t> back(rows.size());
      FromXorBitPlanes(planes, stride, back);
      ASSERT_EQ(back, rows) << "stride " << stride << ", " << count << " rows, seed " << seed;
    }
  }
}

TEST(BitPlanes, NoPayloadNoPlanes) { EXPECT_TRUE(ToXorBitPlanes({}, 0).empty()); }

}  // namespace
}  // namespace proofdrive::session
