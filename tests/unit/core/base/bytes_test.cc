#include "core/base/bytes.h"

#include <gtest/gtest.h>

namespace proofdrive {
namespace {

TEST(BytesTest, WritesAndReadsBothByteOrders) {
  for (const ByteOrder order : {ByteOrder::kLittle, ByteOrder::kBig}) {
    std::vector<std::uint8_t> bytes;
    ByteWriter writer(bytes, order);
    writer.Put(std::uint8_t{0x01});
    writer.Put(std::uint16_t{0x2345});
    writer.Put(std::uint32_t{0x6789ABCD});
    writer.Put(std::uint64_t{0x0123456789ABCDEF});
    ByteReader reader(bytes, order);
    EXPECT_EQ(reader.Get<std::uint8_t>(), 0x01);
    EXPECT_EQ(reader.Get<std::uint16_t>(), 0x2345);
    EXPECT_EQ(reader.Get<std::uint32_t>(), 0x6789ABCDU);
    EXPECT_EQ(reader.Get<std::uint64_t>(), 0x0123456789ABCDEFU);
    EXPECT_TRUE(reader.ok());
    EXPECT_EQ(reader.remaining(), 0U);
  }
}

TEST(BytesTest, LayoutOfTheTwoOrders) {
  std::vector<std::uint8_t> little;
  ByteWriter(little, ByteOrder::kLittle).Put(std::uint32_t{0x01020304});
  EXPECT_EQ(little, (std::vector<std::uint8_t>{4, 3, 2, 1}));
  std::vector<std::uint8_t> big;
  ByteWriter(big, ByteOrder::kBig).Put(std::uint32_t{0x01020304});
  EXPECT_EQ(big, (std::vector<std::uint8_t>{1, 2, 3, 4}));
}

TEST(BytesTest, ReadingPastTheEndGivesZeroAndIsRemembered) {
  const std::vector<std::uint8_t> bytes = {0xFF, 0xFF, 0xFF};
  ByteReader reader(bytes);
  EXPECT_EQ(reader.Get<std::uint16_t>(), 0xFFFF);
  EXPECT_EQ(reader.Get<std::uint16_t>(), 0);
  EXPECT_FALSE(reader.ok());
  EXPECT_EQ(reader.Get<std::uint8_t>(), 0);
  EXPECT_EQ(reader.remaining(), 0U);
}

TEST(BytesTest, AHugeCountIsNotAdded) {
  const std::vector<std::uint8_t> bytes = {1, 2, 3};
  ByteReader reader(bytes);
  reader.Skip(1);
  EXPECT_TRUE(reader.GetBytes(~std::size_t{0}).empty());
  EXPECT_FALSE(reader.ok());
}

TEST(BytesTest, PadsToTheAlignment) {
  std::vector<std::uint8_t> bytes = {1};
  ByteWriter writer(bytes);
  writer.Pad(4);
  EXPECT_EQ(bytes, (std::vector<std::uint8_t>{1, 0, 0, 0}));
  writer.Pad(4);
  EXPECT_EQ(bytes.size(), 4U);
}

}  // namespace
}  // namespace proofdrive
