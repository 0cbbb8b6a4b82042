// Check values: AUTOSAR Specification of CRC Routines (test patterns, looked up and computed),
// RFC 3720 appendix B.4 for CRC-32C; the plain sums are worked out by hand.
#include "decoders/model/checksums.h"

#include <gtest/gtest.h>

#include <vector>

#include "core/base/text.h"

namespace proofdrive::decoders {
namespace {

std::uint64_t Calculate(std::string_view name, const std::string& hex) {
  const Checksum* checksum = FindChecksum(name);
  if (checksum == nullptr) return ~std::uint64_t{0};
  const auto bytes = ParseHexBytes(hex).value();
  ChecksumInput input;
  input.bytes = bytes;
  return checksum->function(input);
}

// The patterns of the AUTOSAR document, and the digits 1 to 9 in ASCII.
const std::vector<std::string> kPatterns = {
    "313233343536373839", "00000000",           "F20183", "0FAA0055",
    "00FF5511",           "332255AABBCCDDEEFF", "926B55", "FFFFFFFF"};

void ExpectAll(std::string_view name, const std::vector<std::uint64_t>& wanted) {
  ASSERT_EQ(wanted.size(), kPatterns.size());
  for (std::size_t i = 0; i < kPatterns.size(); ++i) {
    EXPECT_EQ(Calculate(name, kPatterns[i]), wanted[i]) << name << " " << kPatterns[i];
  }
}

TEST(Checksums, Crc8SaeJ1850) {
  ExpectAll("crc-8-sae-j1850", {0x4B, 0x59, 0x37, 0x79, 0xB8, 0xCB, 0x8C, 0x74});
  EXPECT_EQ(Calculate("crc-8-sae-j1850", "00C0DFACAA0740"), 0x6CU);  // a frame, by formula
}

TEST(Checksums, Crc8H2f) {
  ExpectAll("crc-8-h2f", {0xDF, 0x12, 0xC2, 0xC6, 0x77, 0x11, 0x33, 0x6C});
}

TEST(Checksums, Crc16CcittFalse) {
  ExpectAll("crc-16-ccitt-false", {0x29B1, 0x84C0, 0xD374, 0x2023, 0xB8F9, 0xF53F, 0x0745, 0x1D0F});
}

TEST(Checksums, Crc32c) {
  EXPECT_EQ(Calculate("crc-32c", "313233343536373839"), 0xE3069283U);
  EXPECT_EQ(Calculate("crc-32c", std::string(64, '0')), 0x8A9136AAU);
  EXPECT_EQ(Calculate("crc-32c", std::string(64, 'F')), 0x62A8AB43U);
}

TEST(Checksums, ExclusiveOrAndSum) {
  EXPECT_EQ(Calculate("xor", "0102030405060708"), 0x08U);
  EXPECT_EQ(Calculate("xor", "01020304050607"), 0x00U);
  EXPECT_EQ(Calculate("sum-8", "0102030405060708"), 0x24U);
  EXPECT_EQ(Calculate("sum-8", "01020304050607"), 0x1CU);
  EXPECT_EQ(Calculate("sum-8", "FFFF02"), 0x00U);
}

TEST(Checksums, UnknownNameIsNull) { EXPECT_EQ(FindChecksum("crc-9"), nullptr); }

}  // namespace
}  // namespace proofdrive::decoders
