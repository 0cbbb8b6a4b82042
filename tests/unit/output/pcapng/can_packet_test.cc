// tcpdump.org, LINKTYPE_CAN_SOCKETCAN (looked up); meanings of error data: linux/can/error.h.
#include "output/pcapng/can_packet.h"

#include <gtest/gtest.h>

#include "tests/unit/output/pcapng/capture_bytes.h"

namespace proofdrive::output {
namespace {

using namespace testing;  // NOLINT: capture_bytes.h

struct Decoded {
  PacketKind kind;
  Frame frame;
  std::string why;
};

Decoded Decode(const std::string& hex, std::optional<std::uint32_t> original = {}) {
  const Bytes bytes = FromHex(hex);
  Decoded decoded{};
  decoded.kind = DecodeCanPacket(bytes, original.value_or(static_cast<std::uint32_t>(bytes.size())),
                                 decoded.frame, decoded.why);
  return decoded;
}

TEST(CanPacket, IdentifierIsBigEndian) {
  const Decoded got = Decode("00000123 04000000 DEADBEEF");
  ASSERT_EQ(got.kind, PacketKind::kFrame) << got.why;
  EXPECT_EQ(got.frame, MakeFrame(0, 0x123, 0, "DEADBEEF"));
}

TEST(CanPacket, TopBitIsExtended) {
  EXPECT_EQ(Decode("80000123 00000000").frame, MakeFrame(0, 0x123, kExtendedId, ""));
}

TEST(CanPacket, RemoteFrameKeepsTheLengthAskedForAndHasNoPayload) {
  const Decoded got = Decode("40000321 04000000");
  ASSERT_EQ(got.kind, PacketKind::kFrame) << got.why;
  EXPECT_EQ(got.frame.flags, kRemote);
  EXPECT_EQ(got.frame.length, 4);
  EXPECT_TRUE(got.frame.payload().empty());
}

TEST(CanPacket, ErrorMessageKeepsClassAndData) {
  const Decoded got = Decode("20000204 08000000 0010000000000088");
  ASSERT_EQ(got.kind, PacketKind::kFrame) << got.why;
  EXPECT_EQ(got.frame, MakeFrame(0, 0x204, kErrorMessage, "0010000000000088"));
}

TEST(CanPacket, RawLengthCodeOnlyWithEightBytes) {
  EXPECT_EQ(Decode("00000100 0800000F 0102030405060708").frame.raw_dlc, 15);
  EXPECT_EQ(Decode("00000100 08000009 0102030405060708").frame.raw_dlc, 9);
  EXPECT_EQ(Decode("00000100 08000008 0102030405060708").frame.raw_dlc, 0);
  EXPECT_EQ(Decode("00000100 0400000F 01020304").frame.raw_dlc, 0);
}

TEST(CanPacket, FdByItsFlagOrByALengthOf72) {
  EXPECT_EQ(Decode("00000100 00040000").frame.flags, kFlexibleData);
  const std::string padding(2 * (72 - 8 - 4), '0');
  EXPECT_EQ(Decode("00000100 04000000 01020304" + padding).frame,
            MakeFrame(0, 0x100, kFlexibleData, "01020304"));
  EXPECT_EQ(Decode("00000100 04000000 01020304", 72).frame.flags, kFlexibleData);
}

TEST(CanPacket, FdFlags) {
  EXPECT_EQ(Decode("00000100 00070000").frame.flags, kFlexibleData | kBitRateSwitch | kErrorState);
  EXPECT_EQ(Decode("00000100 00010000").frame.flags, 0) << "not an FD frame";
}

TEST(CanPacket, PaddingAfterThePayloadIsIgnored) {
  EXPECT_EQ(Decode("00000100 01000000 AA000000 00000000").frame, MakeFrame(0, 0x100, 0, "AA"));
}

TEST(CanPacket, ExtraLongMarkInTheLengthOctet) {
  EXPECT_EQ(Decode("00000100 80000000 00000000 AA").kind, PacketKind::kExtraLong);
}

TEST(CanPacket, ShorterThanTheHeaderIsMalformed) {
  const Decoded got = Decode("00000100 010000");
  EXPECT_EQ(got.kind, PacketKind::kMalformed);
  EXPECT_EQ(got.why, "a packet of 7 bytes is too short for a CAN frame");
  EXPECT_EQ(Decode("00000100 00000000", 7).kind, PacketKind::kMalformed);
}

TEST(CanPacket, MoreThanItsFormatHoldsIsMalformed) {
  EXPECT_EQ(Decode("00000100 09000000 010203040506070809").why,
            "frame 100: a length of 9 bytes cannot occur");
  EXPECT_EQ(Decode("00000100 09040000 010203040506070809").why,
            "frame 100: a length of 9 bytes cannot occur");
  EXPECT_EQ(Decode("00000800 00000000").why,
            "frame 800: the identifier is too large for its format");
  EXPECT_EQ(Decode("40000100 00040000").why, "frame 100: CAN FD has no remote frames");
}

TEST(CanPacket, CutWhileCapturingIsMalformed) {
  EXPECT_EQ(Decode("00000100 08000000 0102", 16).why, "only 2 of 8 data bytes were captured");
}

TEST(CanPacket, EncodedAndDecodedIsTheSame) {
  Frame raw = MakeFrame(0, 0x100, 0, "0102030405060708");
  raw.raw_dlc = 12;
  Frame remote = MakeFrame(0, 0x1FFFFFFF, kExtendedId | kRemote, "");
  remote.length = 8;
  for (const Frame& frame :
       {raw, remote, MakeFrame(0, 0x7FF, kFlexibleData | kErrorState, std::string(128, 'A')),
        MakeFrame(0, 0x40, kErrorMessage, "0000000000000000")}) {
    const Bytes bytes = EncodeCanPacket(frame);
    Frame back;
    std::string why;
    ASSERT_EQ(DecodeCanPacket(bytes, static_cast<std::uint32_t>(bytes.size()), back, why),
              PacketKind::kFrame)
        << why;
    EXPECT_EQ(back, frame);
  }
}

}  // namespace
}  // namespace proofdrive::output
