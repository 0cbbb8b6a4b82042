#include "core/frame/frame.h"

#include <gtest/gtest.h>

#include <tuple>

#include "tests/support/matchers.h"

namespace proofdrive {
namespace {

using ::proofdrive::testing::IsError;
using ::testing::HasSubstr;

Frame OfLength(std::uint8_t length, std::uint8_t flags) {
  Frame frame;
  frame.length = length;
  frame.flags = flags;
  return frame;
}

// Least and most bits for 0..8 data bytes, 3 intermission bits included. Source: field list of
// linux/can/length.h (can_frame_bits) and the worst-case formulas (55+10s), (80+10s) of "Controller
// Area Network (CAN) Schedulability Analysis", Real-Time Systems 35 (2007; formulas from memory).
constexpr std::uint32_t kBaseBits[9][2] = {{47, 55},  {55, 65},  {63, 75},   {71, 85},  {79, 95},
                                           {87, 105}, {95, 115}, {103, 125}, {111, 135}};
constexpr std::uint32_t kExtendedBits[9][2] = {{67, 80},   {75, 90},   {83, 100},
                                               {91, 110},  {99, 120},  {107, 130},
                                               {115, 140}, {123, 150}, {131, 160}};

TEST(WireBitBoundsTest, ClassicFramesOfEveryLength) {
  for (std::uint8_t length = 0; length <= 8; ++length) {
    const BitCount base = WireBits(OfLength(length, 0));
    EXPECT_EQ(base.least, kBaseBits[length][0]);
    EXPECT_EQ(base.most, kBaseBits[length][1]);
    const BitCount extended = WireBits(OfLength(length, kExtendedId));
    EXPECT_EQ(extended.least, kExtendedBits[length][0]);
    EXPECT_EQ(extended.most, kExtendedBits[length][1]);
  }
}

TEST(WireBitBoundsTest, RemoteFrameCountsNoDataWhateverItsDlc) {
  EXPECT_EQ(WireBits(OfLength(8, kRemote)).most, 55U);
}

// {bytes, base least, base most, extended least, extended most}; linux/can/length.h.
constexpr std::uint32_t kFdBits[][5] = {
    {0, 62, 67, 81, 91},      {1, 70, 77, 89, 101},     {2, 78, 87, 97, 111},
    {4, 94, 107, 113, 131},   {6, 110, 127, 129, 151},  {8, 126, 147, 145, 171},
    {12, 158, 187, 177, 211}, {16, 190, 227, 209, 251}, {20, 227, 272, 246, 296},
    {24, 259, 312, 278, 336}, {32, 323, 392, 342, 416}, {48, 451, 552, 470, 576},
    {64, 579, 712, 598, 736}};

TEST(WireBitBoundsTest, FlexibleDataFramesOfEveryLength) {
  for (const auto& row : kFdBits) {
    const auto length = static_cast<std::uint8_t>(row[0]);
    const BitCount base = WireBits(OfLength(length, kFlexibleData));
    const BitCount extended = WireBits(OfLength(length, kFlexibleData | kExtendedId));
    EXPECT_EQ(std::make_tuple(base.least, base.most), std::make_tuple(row[1], row[2])) << row[0];
    EXPECT_EQ(std::make_tuple(extended.least, extended.most), std::make_tuple(row[3], row[4]));
  }
}

// 500 kbit/s; base 8 bytes every 10 ms and 20 ms, base 4 and extended 8 bytes every 100 ms.
// Computed from the field list of linux/can/length.h.
TEST(WireBitBoundsTest, BusLoadOfAWorkedExample) {
  const BitCount base8 = WireBits(OfLength(8, 0));
  const BitCount base4 = WireBits(OfLength(4, 0));
  const BitCount extended8 = WireBits(OfLength(8, kExtendedId));
  EXPECT_EQ(base8.least * 150 + base4.least * 10 + extended8.least * 10, 18750U);
  EXPECT_EQ(base8.most * 150 + base4.most * 10 + extended8.most * 10, 22800U);
}

// ISO 11898-1 clause 8.4.2.4, values as in linux/can/length.h.
TEST(FdLengthTest, TableOfDlcs) {
  constexpr std::uint8_t kLengths[] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 12, 16, 20, 24, 32, 48, 64};
  for (std::uint8_t dlc = 0; dlc < 16; ++dlc) {
    EXPECT_EQ(FdLengthOfDlc(dlc), kLengths[dlc]);
    EXPECT_EQ(FdDlcOfLength(kLengths[dlc]), dlc);
  }
  EXPECT_EQ(FdDlcOfLength(9), 9);
  EXPECT_EQ(FdDlcOfLength(13), 10);
  EXPECT_EQ(FdDlcOfLength(25), 13);
  EXPECT_EQ(FdDlcOfLength(33), 14);
  EXPECT_EQ(FdDlcOfLength(49), 15);
}

TEST(ValidateTest, AcceptsWhatCanOccur) {
  EXPECT_OK(Validate(OfLength(8, 0)));
  EXPECT_OK(Validate(OfLength(64, kFlexibleData | kBitRateSwitch | kErrorState)));
  Frame raw_dlc = OfLength(8, 0);
  raw_dlc.raw_dlc = 15;
  EXPECT_OK(Validate(raw_dlc));
  Frame error = OfLength(8, kErrorMessage);
  error.id = 0x204;
  EXPECT_OK(Validate(error));
}

TEST(ValidateTest, RefusesWhatCannotOccur) {
  Frame wide_id = OfLength(0, 0);
  wide_id.id = 0x800;
  EXPECT_THAT(Validate(wide_id), IsError(ErrorKind::kCorrupt,
                                         "frame 800: the identifier is too large for its format"));
  EXPECT_THAT(Validate(OfLength(9, 0)),
              IsError(ErrorKind::kCorrupt, "frame 000: a length of 9 bytes cannot occur"));
  EXPECT_THAT(Validate(OfLength(9, kFlexibleData)),
              IsError(ErrorKind::kCorrupt, "frame 000: a length of 9 bytes cannot occur"));
  EXPECT_THAT(Validate(OfLength(0, kFlexibleData | kRemote)),
              IsError(ErrorKind::kCorrupt, "frame 000: CAN FD has no remote frames"));
  EXPECT_THAT(Validate(OfLength(8, kBitRateSwitch)), IsError(ErrorKind::kCorrupt, HasSubstr("FD")));
  Frame raw_dlc = OfLength(7, 0);
  raw_dlc.raw_dlc = 9;
  EXPECT_THAT(Validate(raw_dlc),
              IsError(ErrorKind::kCorrupt,
                      "frame 000: a raw DLC goes only with 8 data bytes and is 9..15"));
}

TEST(FormatIdTest, ShowsTheFormatByTheNumberOfDigits) {
  EXPECT_EQ(FormatId(0x2A, 0), "02A");
  EXPECT_EQ(FormatId(0x2A, kExtendedId), "0000002A");
  EXPECT_EQ(FormatId(0x204, kErrorMessage), "error 0204");
}

TEST(FrameTest, PayloadOfARemoteFrameIsEmpty) {
  EXPECT_EQ(OfLength(8, kRemote).payload().size(), 0U);
  EXPECT_EQ(OfLength(8, 0).payload().size(), 8U);
}

}  // namespace
}  // namespace proofdrive
