#include "core/frame/wire_bits.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "core/base/text.h"

namespace proofdrive {
namespace {

Frame MakeFrame(std::uint32_t id, std::uint8_t flags, const std::string& hex) {
  const auto bytes = ParseHexBytes(hex).value();
  Frame frame;
  frame.id = id;
  frame.flags = flags;
  frame.length = static_cast<std::uint8_t>(bytes.size());
  std::copy(bytes.begin(), bytes.end(), frame.data.begin());
  return frame;
}

struct Row {
  std::uint32_t id;
  std::uint8_t flags;
  const char* data;
  std::uint16_t crc;
  std::uint32_t wire_bits;
};

// Computed with two independent CRC methods and a destuffing round trip from the rules of
// ISO 11898-1 (frame layout: Linux linux/can/length.h; polynomial: CAN in Automation, "CRC in CAN
// frames").
constexpr Row kRows[] = {
    {0x000, 0, "", 0x0000, 53},
    {0x000, 0, "00 00 00 00 00 00 00 00", 0x145B, 127},
    {0x000, 0, "00 00 00 00 00 00 00 01", 0x51C2, 127},
    {0x7FF, 0, "FF FF FF FF FF FF FF FF", 0x4C89, 126},
    {0x123, 0, "01 02 03 04 05 06 07 08", 0x64EF, 119},
    {0x555, 0, "55 55 55 55 55 55 55 55", 0x1B04, 112},
    {0x100, 0, "AA", 0x08CB, 57},
    {0x078, 0, "3C 3C 3C 3C 3C 3C 3C 3C", 0x1921, 131},
    {0x7DF, 0, "02 01 0D 00 00 00 00 00", 0x4865, 123},
    {0x7DF, 0, "02 01 0D CC CC CC CC CC", 0x70D9, 115},
    {0x18DAF110, kExtendedId, "03 22 F1 90 55 55 55 55", 0x06A2, 134},
    {0x1FFFFFFF, kExtendedId, "00 00 00 00 00 00 00 00", 0x7DA3, 151},
    {0x12345678, kExtendedId, "FF FF FF FF FF FF FF FF", 0x2471, 144},
};

TEST(WireBitsTest, CountsTheStuffBitsOfRealContent) {
  for (const Row& row : kRows) {
    const Frame frame = MakeFrame(row.id, row.flags, row.data);
    EXPECT_EQ(Crc15(UnstuffedHeadAndData(frame)), row.crc) << FormatId(row.id, row.flags);
    EXPECT_EQ(ExactWireBits(frame), row.wire_bits) << FormatId(row.id, row.flags);
  }
}

TEST(WireBitsTest, RemoteFrameHasNoData) {
  Frame frame = MakeFrame(0x321, kRemote, "");
  frame.length = 4;
  EXPECT_EQ(Crc15(UnstuffedHeadAndData(frame)), 0x7760);
  EXPECT_EQ(ExactWireBits(frame), 48U);
}

TEST(WireBitsTest, FullyWrittenOutExample) {
  std::string bits;
  for (const std::uint8_t bit : UnstuffedHeadAndData(MakeFrame(0x123, 0, "01 02"))) {
    bits += bit ? '1' : '0';
  }
  EXPECT_EQ(bits, "00010010001100000100000000100000010");
  EXPECT_EQ(Crc15(UnstuffedHeadAndData(MakeFrame(0x123, 0, "01 02"))), 0x69FE);
}

TEST(WireBitsTest, ExactCountLiesWithinTheBounds) {
  for (const Row& row : kRows) {
    const Frame frame = MakeFrame(row.id, row.flags, row.data);
    const BitCount bounds = WireBits(frame);
    EXPECT_GE(*ExactWireBits(frame), bounds.least);
    EXPECT_LE(*ExactWireBits(frame), bounds.most);
  }
}

TEST(WireBitsTest, NoExactCountForFdAndErrorMessages) {
  EXPECT_EQ(ExactWireBits(MakeFrame(0x123, kFlexibleData, "01")), std::nullopt);
  EXPECT_EQ(ExactWireBits(MakeFrame(0x004, kErrorMessage, "00 00 00 00 00 00 00 00")),
            std::nullopt);
}

}  // namespace
}  // namespace proofdrive
