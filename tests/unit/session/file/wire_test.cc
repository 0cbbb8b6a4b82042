#include "session/file/wire.h"

#include <gtest/gtest.h>

#include <limits>

namespace proofdrive::session {
namespace {

using Bytes = std::vector<std::uint8_t>;

TEST(Wire, VarintsTakeSevenBitsAByte) {
  for (const std::uint64_t value :
       {std::uint64_t{0}, std::uint64_t{127}, std::uint64_t{128}, std::uint64_t{300},
        std::uint64_t{1} << 63, ~std::uint64_t{0}}) {
    Bytes bytes;
    AppendVarint(value, bytes);
    EXPECT_EQ(bytes.size(), VarintSize(value)) << value;
    Bytes same(10);
    same.resize(static_cast<std::size_t>(PutVarint(value, same.data()) - same.data()));
    EXPECT_EQ(same, bytes);
    bytes.insert(bytes.begin(), 1 << 3);
    WireReader reader(bytes);
    ASSERT_TRUE(reader.Next());
    EXPECT_EQ(reader.field(), 1U);
    EXPECT_EQ(reader.Number(), value);
    EXPECT_FALSE(reader.Next());
    EXPECT_TRUE(reader.ok());
  }
}

// The example of the protobuf encoding guide: field 1 = 150 is 08 96 01 (from memory).
TEST(Wire, PublishedExample) {
  const Bytes bytes = {0x08, 0x96, 0x01};
  WireReader reader(bytes);
  ASSERT_TRUE(reader.Next());
  EXPECT_EQ(reader.Number(), 150U);
}

TEST(Wire, SmallSignedNumbersStaySmall) {
  EXPECT_EQ(ZigZag(0), 0U);
  EXPECT_EQ(ZigZag(-1), 1U);
  EXPECT_EQ(ZigZag(1), 2U);
  for (const std::int64_t value : {std::int64_t{-300}, std::numeric_limits<std::int64_t>::min(),
                                   std::numeric_limits<std::int64_t>::max()}) {
    EXPECT_EQ(UnZigZag(ZigZag(value)), value);
  }
}

TEST(Wire, UnknownFieldsOfEveryFormAreSkipped) {
  const Bytes bytes = {0x10, 0x05,                       // 2: number
                       0x19, 1,    2, 3, 4, 5, 6, 7, 8,  // 3: 8 bytes
                       0x22, 2,    9, 9,                 // 4: bytes
                       0x2D, 1,    2, 3, 4,              // 5: 4 bytes
                       0x32, 1,    7};                   // 6: wanted
  WireReader reader(bytes);
  Bytes wanted;
  while (reader.Next()) {
    if (reader.field() == 6) {
      const ByteSpan value = reader.Bytes();
      wanted.assign(value.begin(), value.end());
    } else {
      reader.Skip();
    }
  }
  EXPECT_TRUE(reader.ok());
  EXPECT_EQ(wanted, Bytes{7});
}

TEST(Wire, WhatMakesNoSenseIsNoticed) {
  for (const Bytes& bytes : {Bytes{0x08},           // a number that is not there
                             Bytes{0x08, 0x80},     // or has no end
                             Bytes{0x0A, 5, 1},     // fewer bytes than announced
                             Bytes{0x0D, 1, 2, 3},  // likewise
                             Bytes{0x00, 1},        // field 0
                             Bytes{0x0B}}) {        // a form that is not used
    WireReader reader(bytes);
    while (reader.Next()) reader.Skip();
    EXPECT_FALSE(reader.ok());
  }
  const Bytes number = {0x08, 1, 0x08, 1};
  WireReader reader(number);
  ASSERT_TRUE(reader.Next());
  EXPECT_TRUE(reader.Bytes().empty());
  EXPECT_FALSE(reader.ok());
  EXPECT_FALSE(reader.Next());
}

}  // namespace
}  // namespace proofdrive::session
