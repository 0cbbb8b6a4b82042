// Frames of ISO 15765-2. Layouts: Linux net/can/isotp.c and Documentation/networking/isotp.rst
// (looked up), ISO 15765-2 cl. 9.6. Worked transfers: equal to what python3-scapy 2.5.0 makes; the
// CAN FD ones are computed from the kernel's rules (that version cannot split for FD).
#include "decoders/transport/pdu.h"

#include <gmock/gmock.h>

#include "tests/unit/decoders/transport/bytes_text.h"

namespace proofdrive::decoders {
namespace {

using namespace std::chrono_literals;
using testing::Counting;
using ::testing::ElementsAre;
using testing::Hex;
using testing::Joined;
using testing::Text;
using testing::ToHex;

// All frames of `message`, flow control left out.
std::vector<std::string> Split(const TransportLayout& layout,
                               const std::vector<std::uint8_t>& message) {
  if (message.size() <= LargestSingle(layout)) return {ToHex(BuildSingle(layout, message))};
  std::size_t taken = 0;
  std::vector<std::string> frames = {ToHex(BuildFirst(layout, message, taken))};
  std::size_t sent = taken;
  for (std::uint8_t sequence = 1; sent < message.size(); sequence = (sequence + 1) & 0xF) {
    frames.push_back(
        ToHex(BuildConsecutive(layout, sequence, ByteSpan(message).subspan(sent), taken)));
    sent += taken;
  }
  return frames;
}

TransportLayout Classic() {
  TransportLayout layout;
  layout.padding.reset();
  return layout;
}

TransportLayout Fd(std::uint8_t bytes = 64) {
  TransportLayout layout = Classic();
  layout.frame_bytes = bytes;
  return layout;
}

TEST(SplitTest, SingleFrames) {
  EXPECT_THAT(Split(Classic(), Hex("3E00")), ElementsAre("02 3E 00"));
  EXPECT_THAT(Split(Classic(), Hex("22F190F187F18C")), ElementsAre("07 22 F1 90 F1 87 F1 8C"));
  TransportLayout padded;
  EXPECT_THAT(Split(padded, Hex("3E00")), ElementsAre("02 3E 00 CC CC CC CC CC"));
  padded.padding = 0x55;
  EXPECT_THAT(Split(padded, Hex("3E00")), ElementsAre("02 3E 00 55 55 55 55 55"));
}

TEST(SplitTest, SmallestMessageOfSeveralFrames) {
  EXPECT_THAT(Split(Classic(), Counting(8)), ElementsAre("10 08 00 01 02 03 04 05", "21 06 07"));
  TransportLayout padded;
  EXPECT_THAT(Split(padded, Counting(8)),
              ElementsAre("10 08 00 01 02 03 04 05", "21 06 07 CC CC CC CC CC"));
}

TEST(SplitTest, WorkedTransfers) {
  const auto vin = Text("TESTVEH0123456789");  // invented
  EXPECT_THAT(
      Split(Classic(), Joined(Hex("62F190"), vin)),
      ElementsAre("10 14 62 F1 90 54 45 53", "21 54 56 45 48 30 31 32", "22 33 34 35 36 37 38 39"));
  EXPECT_THAT(
      Split(Classic(), Joined(Hex("490201"), vin)),
      ElementsAre("10 14 49 02 01 54 45 53", "21 54 56 45 48 30 31 32", "22 33 34 35 36 37 38 39"));
  EXPECT_THAT(Split(Classic(), Hex("5902FF0AA61A2F0A0A1324")),
              ElementsAre("10 0B 59 02 FF 0A A6 1A", "21 2F 0A 0A 13 24"));
  EXPECT_THAT(Split(Classic(), Hex("410D32423138463C")),
              ElementsAre("10 08 41 0D 32 42 31 38", "21 46 3C"));
}

TEST(SplitTest, SequenceNumbersWrapAfterFifteen) {
  const auto frames = Split(Classic(), Counting(125));
  ASSERT_EQ(frames.size(), 18u);
  EXPECT_EQ(frames[0], "10 7D 00 01 02 03 04 05");
  EXPECT_EQ(frames[15], "2F 68 69 6A 6B 6C 6D 6E");
  EXPECT_EQ(frames[16], "20 6F 70 71 72 73 74 75");
  EXPECT_EQ(frames[17], "21 76 77 78 79 7A 7B 7C");
}

TEST(SplitTest, LengthsOfTwelveAndOfThirtyTwoBits) {
  const auto longest_short = Split(Classic(), Counting(4095));
  ASSERT_EQ(longest_short.size(), 586u);
  EXPECT_EQ(longest_short.front(), "1F FF 00 01 02 03 04 05");
  EXPECT_EQ(longest_short.back(), "29 FE");
  const auto shortest_long = Split(Classic(), Counting(4096));
  ASSERT_EQ(shortest_long.size(), 586u);
  EXPECT_EQ(shortest_long[0], "10 00 00 00 10 00 00 01");
  EXPECT_EQ(shortest_long[1], "21 02 03 04 05 06 07 08");
  EXPECT_EQ(shortest_long.back(), "29 FA FB FC FD FE FF");
}

TEST(SplitTest, ExtendedAddressingPutsTheAddressFirst) {
  TransportLayout layout = Classic();
  layout.sent_address = 0xF1;
  EXPECT_THAT(Split(layout, Counting(20)),
              ElementsAre("F1 10 14 00 01 02 03 04", "F1 21 05 06 07 08 09 0A",
                          "F1 22 0B 0C 0D 0E 0F 10", "F1 23 11 12 13"));
  EXPECT_THAT(Split(layout, Counting(6)), ElementsAre("F1 06 00 01 02 03 04 05"));
  EXPECT_EQ(Split(layout, Counting(7)).size(), 2u);
}

TEST(SplitTest, FlexibleDataSingleFrames) {
  EXPECT_THAT(Split(Fd(), Counting(7)), ElementsAre("07 00 01 02 03 04 05 06"));
  EXPECT_THAT(Split(Fd(), Counting(8)), ElementsAre("00 08 00 01 02 03 04 05 06 07 CC CC"));
  EXPECT_THAT(Split(Fd(), Counting(10)), ElementsAre("00 0A 00 01 02 03 04 05 06 07 08 09"));
  EXPECT_THAT(Split(Fd(), Counting(11)),
              ElementsAre("00 0B 00 01 02 03 04 05 06 07 08 09 0A CC CC CC"));
  EXPECT_THAT(Split(Fd(), Counting(62)), ElementsAre("00 3E " + ToHex(Counting(62))));
}

TEST(SplitTest, FlexibleDataSeveralFrames) {
  EXPECT_THAT(Split(Fd(), Counting(63)), ElementsAre("10 3F " + ToHex(Counting(62)), "21 3E"));
  const auto two = Split(Fd(), Counting(125));
  ASSERT_EQ(two.size(), 2u);
  EXPECT_EQ(Hex(two[1]).size(), 64u);
  const auto three = Split(Fd(), Counting(126));
  ASSERT_EQ(three.size(), 3u);
  EXPECT_EQ(three[2], "22 7D");
  const auto frames = Split(Fd(), Counting(4096));
  ASSERT_EQ(frames.size(), 66u);
  EXPECT_EQ(frames[0], "10 00 00 00 10 00 " + ToHex(Counting(58)));
  EXPECT_EQ(frames[65], "21 FA FB FC FD FE FF");
}

TEST(SplitTest, EveryFrameLengthThatExists) {
  for (const int length : {8, 12, 16, 20, 24, 32, 48, 64}) {
    const auto bytes = static_cast<std::uint8_t>(length);
    const auto frames = Split(Fd(bytes), Counting(500));
    EXPECT_EQ(Hex(frames.front()).size(), bytes);
    EXPECT_EQ(Hex(frames[1]).size(), bytes);
  }
}

TEST(FlowControlTest, Bytes) {
  EXPECT_EQ(ToHex(BuildFlowControl(Classic(), FlowStatus::kContinue, 8, 20)), "30 08 14");
  EXPECT_EQ(ToHex(BuildFlowControl(Classic(), FlowStatus::kWait, 0, 0)), "31 00 00");
  EXPECT_EQ(ToHex(BuildFlowControl(Classic(), FlowStatus::kOverflow, 0, 0)), "32 00 00");
}

TEST(SeparationTest, Times) {
  EXPECT_EQ(SeparationTime(0x00), 0ms);
  EXPECT_EQ(SeparationTime(0x01), 1ms);
  EXPECT_EQ(SeparationTime(0x14), 20ms);
  EXPECT_EQ(SeparationTime(0x7F), 127ms);
  EXPECT_EQ(SeparationTime(0xF1), 100us);
  EXPECT_EQ(SeparationTime(0xF5), 500us);
  EXPECT_EQ(SeparationTime(0xF9), 900us);
  for (const int reserved : {0x80, 0xA0, 0xF0, 0xFA, 0xFF}) {
    EXPECT_EQ(SeparationTime(static_cast<std::uint8_t>(reserved)), 127ms) << reserved;
  }
}

TEST(SeparationTest, BytesForTimes) {
  for (int byte = 0; byte <= 0x7F; ++byte) {
    const auto separation = static_cast<std::uint8_t>(byte);
    EXPECT_EQ(SeparationByte(SeparationTime(separation)), separation);
  }
  EXPECT_EQ(SeparationByte(50us), 0xF1);
  EXPECT_EQ(SeparationByte(900us), 0xF9);
  EXPECT_EQ(SeparationByte(901us), 0x01);
  EXPECT_EQ(SeparationByte(1001us), 0x02);
  EXPECT_EQ(SeparationByte(10s), 0x7F);
}

TEST(ParseTest, IgnoresWhatTheStandardSaysToIgnore) {
  const char* const ignored[] = {
      "",                                     // nothing
      "00",                                   // length 0
      "00 01 02 03 04 05 06 07",              // escape in a classic frame
      "08 01 02 03 04 05 06 07",              // longer than the frame
      "03 22 F1",                             // likewise
      "10 08 01 02 03 04 05",                 // first frame that is not full
      "10 07 01 02 03 04 05 06",              // would have fitted into a single frame
      "10 00 00 00 0F FF 01 02",              // 32 bits for what 12 can say
      "20",                                   // carries nothing
      "30 00",                                // flow control without STmin
      "40 00 00 00 00 00 00 00",              // unknown type
      "F0 00 00 00 00 00 00 00",              // likewise
      "05 00 01 02 03 04 05 06 07 08 09 0A",  // FD: short form in a long frame
      "00 0B 00 01 02 03 04 05 06 07 08 09",  // FD: longer than the frame
      "10 0A 00 01 02 03 04 05 06 07 08 09",  // FD: would have fitted
  };
  for (const char* text : ignored) EXPECT_FALSE(ParsePdu(Hex(text), false)) << text;
  EXPECT_FALSE(ParsePdu(Hex("F1"), true));
  EXPECT_FALSE(ParsePdu(Hex("F1 07 01 02 03 04 05 06"), true));
}

TEST(ParseTest, ShortestMessageOfSeveralFrames) {
  // From memory of the standard; the kernel takes shorter ones.
  EXPECT_TRUE(ParsePdu(Hex("10 08 01 02 03 04 05 06"), false));
  EXPECT_TRUE(ParsePdu(Hex("F1 10 07 01 02 03 04 05"), true));
  EXPECT_FALSE(ParsePdu(Hex("F1 10 06 01 02 03 04 05"), true));
  EXPECT_TRUE(ParsePdu(Hex("10 0B 00 01 02 03 04 05 06 07 08 09"), false));
}

TEST(ParseTest, LeavesPaddingOut) {
  const auto bytes = Hex("02 3E 00 AA AA AA AA AA");
  EXPECT_EQ(ToHex(ParsePdu(bytes, false)->payload), "3E 00");
  const auto fd = Hex("00 08 00 01 02 03 04 05 06 07 CC CC");
  EXPECT_EQ(ToHex(ParsePdu(fd, false)->payload), "00 01 02 03 04 05 06 07");
}

TEST(ParseTest, LargestLengthThatCanBeAnnounced) {
  const auto bytes = Hex("10 00 FF FF FF FF 01 02");
  const auto pdu = ParsePdu(bytes, false);
  ASSERT_TRUE(pdu);
  EXPECT_EQ(pdu->length, 0xFFFFFFFFu);
}

}  // namespace
}  // namespace proofdrive::decoders
