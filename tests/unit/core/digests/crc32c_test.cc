#include "core/digests/crc32c.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace proofdrive {
namespace {

std::vector<std::uint8_t> Counting(int first, int step) {
  std::vector<std::uint8_t> bytes;
  for (int i = 0; i < 32; ++i) bytes.push_back(static_cast<std::uint8_t>(first + i * step));
  return bytes;
}

// RFC 3720 appendix B.4 (values from memory, recomputed bit by bit).
TEST(Crc32cTest, PublishedExamples) {
  EXPECT_EQ(Crc32c(std::vector<std::uint8_t>(32, 0x00)), 0x8A9136AAU);
  EXPECT_EQ(Crc32c(std::vector<std::uint8_t>(32, 0xFF)), 0x62A8AB43U);
  EXPECT_EQ(Crc32c(Counting(0, 1)), 0x46DD794EU);
  EXPECT_EQ(Crc32c(Counting(31, -1)), 0x113FDB5CU);
}

// The customary check input of CRC catalogues (computed).
TEST(Crc32cTest, CheckInput) { EXPECT_EQ(Crc32c(AsBytes("123456789")), 0xE3069283U); }

TEST(Crc32cTest, PiecesGiveTheSameAsTheWholeAtEveryCut) {
  const std::vector<std::uint8_t> bytes = Counting(7, 5);
  const std::uint32_t whole = Crc32c(bytes);
  for (std::size_t cut = 0; cut <= bytes.size(); ++cut) {
    const ByteSpan span(bytes);
    EXPECT_EQ(Crc32c(span.subspan(cut), Crc32c(span.first(cut))), whole) << cut;
  }
}

TEST(Crc32cTest, WithAndWithoutTheInstructionIsTheSame) {
  std::vector<std::uint8_t> bytes;
  for (std::size_t count = 0; count < 100; ++count) {
    EXPECT_EQ(Crc32cPortable(bytes, 17), Crc32c(bytes, 17)) << count;
    bytes.push_back(static_cast<std::uint8_t>(count * count + 3));
  }
}

TEST(Crc32cTest, EveryFlippedBitChangesIt) {
  std::vector<std::uint8_t> bytes = Counting(0, 3);
  const std::uint32_t whole = Crc32c(bytes);
  for (std::size_t bit = 0; bit < bytes.size() * 8; ++bit) {
    bytes[bit / 8] = static_cast<std::uint8_t>(bytes[bit / 8] ^ (1U << (bit % 8)));
    EXPECT_NE(Crc32c(bytes), whole) << bit;
    bytes[bit / 8] = static_cast<std::uint8_t>(bytes[bit / 8] ^ (1U << (bit % 8)));
  }
}

}  // namespace
}  // namespace proofdrive
