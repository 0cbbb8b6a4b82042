// Messages found in recorded traffic.
#include "decoders/transport/passive.h"

#include <gmock/gmock.h>

#include "tests/unit/decoders/test_definitions.h"
#include "tests/unit/decoders/transport/bytes_text.h"

namespace proofdrive::decoders {
namespace {

using namespace std::chrono_literals;
using testing::Counting;
using testing::Hex;
using testing::MakeFrame;
using testing::ToHex;

class PassiveTest : public ::testing::Test {
 protected:
  void Feed(std::uint32_t id, const char* bytes, Duration at, std::uint8_t flags = 0) {
    Frame frame = MakeFrame(id, Hex(bytes), at);
    frame.flags = flags;
    passive_.OnFrame(frame);
  }
  static AddressBook Book() {
    AddressBook book;
    book.Add({{0x612, false}, {0x61A, false}});
    book.Add({{0x712, false, 0x2C}, {0x732, false, 0x5B}});
    book.Add({{0x712, false, 0x2D}, {0x733, false, 0x5B}});
    return book;
  }

  std::vector<SeenMessage> seen_;
  PassiveReassembler passive_{Book(), [this](SeenMessage message) { seen_.push_back(message); }};
};

TEST_F(PassiveTest, TwoUnitsAnswerAtTheSameTime) {
  Feed(0x7DF, "02 09 02", 0ms);
  Feed(0x7E8, "10 14 49 02 01 54 45 53", 10ms);
  Feed(0x7EA, "10 0A 49 04 01 41 42 43", 11ms);
  Feed(0x7E0, "30 00 00", 12ms);
  Feed(0x7E2, "30 00 00", 13ms);
  Feed(0x7EA, "21 44 45 46 47 AA AA AA", 14ms);
  Feed(0x7E8, "21 54 56 45 48 30 31 32", 15ms);
  Feed(0x7E8, "22 33 34 35 36 37 38 39", 16ms);
  ASSERT_EQ(seen_.size(), 3u);
  EXPECT_EQ(ToHex(seen_[0].bytes), "09 02");
  EXPECT_EQ(ToHex(seen_[1].bytes), "49 04 01 41 42 43 44 45 46 47");
  EXPECT_EQ(seen_[1].begun, WallTime(11ms));
  EXPECT_EQ(seen_[1].ended, WallTime(14ms));
  EXPECT_EQ(seen_[2].bytes.size(), 20u);
  EXPECT_EQ(seen_[2].frames, 3u);
}

TEST_F(PassiveTest, SameIdentifierOnTwoChannelsAndInTwoFormatsAreApart) {
  Frame frame = MakeFrame(0x18DAF110, Hex("10 08 00 01 02 03 04 05"), 0ms);
  frame.flags = kExtendedId;
  passive_.OnFrame(frame);
  frame.channel = 1;
  passive_.OnFrame(frame);
  Frame next = MakeFrame(0x18DAF110, Hex("21 06 07"), 1ms);
  next.flags = kExtendedId;
  passive_.OnFrame(next);
  ASSERT_EQ(seen_.size(), 1u);
  EXPECT_EQ(seen_[0].channel, 0);
  EXPECT_EQ(seen_[0].bytes, Counting(8));
}

TEST_F(PassiveTest, NobodyContinues) {
  Feed(0x7E8, "10 14 49 02 01 54 45 53", 0ms);
  Feed(0x7EA, "01 7E", 1999ms);
  EXPECT_EQ(seen_.size(), 1u);
  Feed(0x7EA, "01 7E", 2001ms);
  ASSERT_EQ(seen_.size(), 3u);
  EXPECT_EQ(seen_[1].problem, TransferProblem::kFrameTimeout);
  EXPECT_EQ(seen_[1].announced, 20u);
  EXPECT_EQ(ToHex(seen_[1].bytes), "49 02 01 54 45 53");
}

TEST_F(PassiveTest, FlowControlKeepsAMessageAlive) {
  Feed(0x7E8, "10 08 00 01 02 03 04 05", 0ms);
  Feed(0x7E0, "31 00 00", 1500ms);
  Feed(0x7E0, "30 00 00", 3000ms);
  Feed(0x7E8, "21 06 07", 4500ms);
  ASSERT_EQ(seen_.size(), 1u);
  EXPECT_EQ(seen_[0].problem, TransferProblem::kNone);
}

TEST_F(PassiveTest, Problems) {
  Feed(0x7E8, "10 14 49 02 01 54 45 53", 0ms);
  Feed(0x7E8, "22 54 56 45 48 30 31 32", 1ms);
  EXPECT_EQ(seen_.back().problem, TransferProblem::kWrongSequence);
  Feed(0x7E8, "10 14 49 02 01 54 45 53", 2ms);
  Feed(0x7E8, "02 7E 00", 3ms);
  EXPECT_EQ(seen_[1].problem, TransferProblem::kUnexpectedFrame);
  Feed(0x7E8, "10 14 49 02 01 54 45 53", 4ms);
  Feed(0x7E0, "32 00 00", 5ms);
  EXPECT_EQ(seen_.back().problem, TransferProblem::kOverflow);
  Feed(0x7E8, "10 14 49 02 01 54 45 53", 6ms);
  passive_.Finish();
  EXPECT_EQ(seen_.back().problem, TransferProblem::kEndOfRecording);
  EXPECT_EQ(seen_.size(), 5u);
}

TEST_F(PassiveTest, OtherTrafficIsPassedOver) {
  Feed(0x2A1, "02 3E 00", 0ms);
  Feed(0x7E8, "02 3E 00", 0ms, kRemote);
  Feed(0x7E8, "02 3E 00", 0ms, kErrorMessage);
  Feed(0x0CF00400, "02 3E 00", 0ms, kExtendedId);
  EXPECT_TRUE(seen_.empty());
  EXPECT_EQ(passive_.stray_frames(), 0u);
  Feed(0x7E8, "55 55 55 55", 0ms);
  Feed(0x7E8, "21 55 55 55", 0ms);
  EXPECT_EQ(passive_.stray_frames(), 2u);
}

TEST_F(PassiveTest, UnitsNamedByTheUser) {
  Feed(0x612, "02 3E 00", 0ms);
  Feed(0x712, "2C 02 3E 00", 0ms);
  ASSERT_EQ(seen_.size(), 2u);
  EXPECT_EQ(ToHex(seen_[1].bytes), "3E 00") << "its address byte is left out";
  EXPECT_EQ(seen_[1].address.byte, 0x2C);
}

TEST_F(PassiveTest, FlexibleData) {
  Frame frame = MakeFrame(0x7E8, testing::Joined(Hex("10 3F"), Counting(62)), 0ms);
  frame.flags = kFlexibleData;
  passive_.OnFrame(frame);
  Feed(0x7E8, "21 3E", 1ms, kFlexibleData);
  ASSERT_EQ(seen_.size(), 1u);
  EXPECT_EQ(seen_[0].bytes, Counting(63));
}

TEST_F(PassiveTest, AnnouncedFourGibibytesTakeNoRoom) {
  Feed(0x7E8, "10 00 FF FF FF FF 01 02", 0ms);
  ASSERT_EQ(seen_.size(), 1u);
  EXPECT_EQ(seen_[0].problem, TransferProblem::kTooLong);
  EXPECT_EQ(seen_[0].announced, 0xFFFFFFFFu);
}

TEST_F(PassiveTest, AFloodOfBeginningsIsFollowedInPart) {
  for (std::uint32_t id = 0; id < 0x1000; ++id) {
    Feed(0x18DA0000 + id, "10 14 49 02 01 54 45 53", 0ms, kExtendedId);
  }
  EXPECT_EQ(seen_.size(), 0x1000u - 256);
  EXPECT_EQ(seen_[0].problem, TransferProblem::kCrowded);
  passive_.Finish();
  EXPECT_EQ(seen_.size(), 0x1000u);
}

TEST(AddressBookTest, StandardPairs) {
  const AddressBook book;
  EXPECT_TRUE(book.Pairs({0x7E5, false}, {0x7ED, false}));
  EXPECT_FALSE(book.Pairs({0x7E5, false}, {0x7EC, false}));
  EXPECT_FALSE(book.Pairs({0x7ED, false}, {0x7E5, false}));
  EXPECT_TRUE(book.Pairs({0x7DF, false}, {0x7A8, false}));
  EXPECT_TRUE(book.Pairs({0x18DA42F1, true}, {0x18DAF142, true}));  // Linux isotp.rst
  EXPECT_TRUE(book.Pairs({0x18DB33F1, true}, {0x18DAF142, true}));
  EXPECT_FALSE(book.Pairs({0x7DF, false}, {0x18DAF142, true}));
  EXPECT_EQ(book.RequestOf({0x18DAF142, true}), (BusAddress{0x18DA42F1, true}));
}

}  // namespace
}  // namespace proofdrive::decoders
