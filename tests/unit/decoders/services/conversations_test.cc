// Requests and answers in recorded traffic, and what they say about control units.
#include "decoders/services/conversations.h"

#include <gmock/gmock.h>

#include "decoders/services/unit_reports.h"
#include "tests/unit/decoders/test_definitions.h"
#include "tests/unit/decoders/transport/bytes_text.h"

namespace proofdrive::decoders {
namespace {

using namespace std::chrono_literals;
using ::testing::ElementsAre;
using testing::Hex;
using ::testing::IsEmpty;
using testing::MakeFrame;
using testing::ToHex;

class ConversationsTest : public ::testing::Test {
 protected:
  void Feed(std::uint32_t id, const std::string& bytes, Duration at) {
    passive_.OnFrame(MakeFrame(id, Hex(bytes), at));
  }
  void Finish() {
    passive_.Finish();
    tracker_.Finish();
  }
  UnitReport Unit(std::size_t index = 0) { return reports_.units().at(index); }

  std::vector<Conversation> seen_;
  AddressBook book_;
  UnitReports reports_{book_,
                       {{"pack_controller", {{0x7E5, false}, {0x7ED, false}}},
                        {"cabin", {{0x7E4, false}, {0x7EC, false}}}}};
  ConversationTracker tracker_{book_, [this](const Conversation& conversation) {
                                 seen_.push_back(conversation);
                                 reports_.Add(conversation);
                               }};
  PassiveReassembler passive_{
      book_, [this](SeenMessage message) { tracker_.OnMessage(std::move(message)); }};
};

TEST_F(ConversationsTest, OneQuestionOneAnswer) {
  Feed(0x7E5, "03 22 D1 A4", 0ms);
  Feed(0x7ED, "05 62 D1 A4 01 F4", 12ms);
  Finish();
  ASSERT_EQ(seen_.size(), 1u);
  EXPECT_TRUE(seen_[0].complete());
  EXPECT_FALSE(seen_[0].functional);
  ASSERT_EQ(seen_[0].answers.size(), 1u);
  EXPECT_EQ(ToHex(seen_[0].answers[0].message.bytes), "62 D1 A4 01 F4");
  EXPECT_EQ(Unit().name, "pack_controller");
}

TEST_F(ConversationsTest, ResponsePendingIsResolved) {
  Feed(0x7E5, "03 19 02 FF", 0ms);
  Feed(0x7ED, "03 7F 19 78", 40ms);
  Feed(0x7ED, "03 7F 19 78", 4000ms);
  Feed(0x7ED, "03 59 02 FF", 8900ms);
  Finish();
  ASSERT_EQ(seen_.size(), 1u);
  const UnitAnswer& answer = seen_[0].answers.at(0);
  EXPECT_EQ(answer.kind, AnswerKind::kPositive);
  EXPECT_EQ(answer.pending, 2u);
  EXPECT_EQ(answer.first_pending, WallTime(40ms));
  EXPECT_EQ(reports_.counts().pending_resolved, 1u);
  EXPECT_EQ(reports_.counts().complete, 1u);
}

// Seen in a real recording: a functional request is repeated before a slow unit has answered.
TEST_F(ConversationsTest, ALateAnswerGoesToTheRequestThatIsPending) {
  Feed(0x7DF, "03 19 02 08", 0ms);
  Feed(0x7AD, "03 7F 19 78", 11ms);
  Feed(0x7DF, "03 19 02 AC", 50ms);
  Feed(0x7DF, "03 19 02 AF", 110ms);
  Feed(0x7AD, "07 59 02 08 96 03 00 08", 680ms);
  Finish();
  ASSERT_EQ(seen_.size(), 3u);
  EXPECT_EQ(seen_[0].answers.at(0).pending, 1u);
  EXPECT_EQ(seen_[0].answers.at(0).kind, AnswerKind::kPositive);
  EXPECT_THAT(seen_[1].answers, IsEmpty());
  EXPECT_THAT(seen_[2].answers, IsEmpty());
}

TEST_F(ConversationsTest, ResponsePendingForEver) {
  Feed(0x7E5, "03 19 02 FF", 0ms);
  for (int i = 0; i < 100; ++i) Feed(0x7ED, "03 7F 19 78", 100ms * i);
  Finish();
  ASSERT_EQ(seen_.size(), 1u);
  EXPECT_FALSE(seen_[0].complete());
  EXPECT_EQ(seen_[0].answers.size(), 1u);
  EXPECT_EQ(Unit().pending_open, 1u);
  EXPECT_THAT(Unit().oddities,
              ElementsAre("says \"response pending\" again and again to ReadDTCInformation 02 FF"));
}

TEST_F(ConversationsTest, EveryUnitAnswersAFunctionalRequestOutOfTurn) {
  Feed(0x7DF, "02 09 02", 0ms);
  Feed(0x7DF, "01 03", 50ms);
  Feed(0x7EA, "02 43 00", 60ms);
  Feed(0x7E8, "03 7F 09 78", 61ms);
  Feed(0x7EA, "03 7F 09 11", 70ms);
  Feed(0x7E8, "04 43 01 0A A6", 80ms);
  Feed(0x7E8, "10 14 49 02 01 54 45 53", 90ms);
  Feed(0x7E0, "30 00 00", 91ms);
  Feed(0x7E8, "21 54 56 45 48 30 31 32", 92ms);
  Feed(0x7E8, "22 33 34 35 36 37 38 39", 93ms);
  Finish();
  ASSERT_EQ(seen_.size(), 2u);
  EXPECT_TRUE(seen_[0].functional);
  EXPECT_TRUE(seen_[0].complete());
  EXPECT_EQ(seen_[0].answers.size(), 2u);
  EXPECT_TRUE(seen_[1].complete());
  EXPECT_EQ(Unit(0).faults(), 1u);
  EXPECT_EQ(Unit(1).faults(), 0u);
  EXPECT_THAT(Unit(1).lists, ElementsAre("03"));
  EXPECT_EQ(reports_.counts().all, 2u);
  EXPECT_EQ(reports_.counts().functional, 2u);
}

TEST_F(ConversationsTest, AnswersGoToTheRequestTheyRepeat) {
  Feed(0x7E5, "03 22 D1 A4", 0ms);
  Feed(0x7E5, "03 22 D1 A5", 5ms);
  Feed(0x7ED, "04 62 D1 A5 01", 10ms);
  Feed(0x7ED, "04 62 D1 A4 02", 20ms);
  Feed(0x7ED, "04 62 D1 A6 02", 30ms);  // nobody asked
  Finish();
  EXPECT_EQ(seen_[0].answers.at(0).message.bytes.back(), 2);
  EXPECT_EQ(seen_[1].answers.at(0).message.bytes.back(), 1);
  EXPECT_EQ(tracker_.unasked(), 1u);
}

TEST_F(ConversationsTest, UnansweredAbandonedAndUnwanted) {
  Feed(0x7E4, "02 3E 80", 0ms);  // wants no answer
  Feed(0x7E4, "02 3E 00", 10ms);
  Feed(0x7E5, "03 19 02 FF", 20ms);
  Feed(0x7ED, "10 0B 59 02 FF 0A A6 1A", 30ms);
  Feed(0x7E5, "02 3E 00", 20s);
  Feed(0x7ED, "02 7E 00", 20s + 5ms);
  Finish();
  ASSERT_EQ(seen_.size(), 4u);
  EXPECT_TRUE(seen_[0].complete());
  EXPECT_FALSE(seen_[1].complete());
  EXPECT_EQ(seen_[2].answers.at(0).kind, AnswerKind::kBroken);
  const ConversationCounts& counts = reports_.counts();
  EXPECT_EQ(counts.all, 4u);
  EXPECT_EQ(counts.complete, 2u);
  EXPECT_EQ(counts.unanswered, 1u);
  EXPECT_EQ(counts.abandoned, 1u);
  EXPECT_EQ(counts.all, counts.complete + counts.unanswered + counts.abandoned);
  EXPECT_THAT(Unit().oddities,
              ElementsAre("an answer to ReadDTCInformation 02 FF broke off after 6 bytes of 11: "
                          "no consecutive frame came"));
  EXPECT_THAT(reports_.silent(), ElementsAre("cabin"));
}

TEST_F(ConversationsTest, CodesOfAUnit) {
  Feed(0x7E5, "03 19 02 FF", 0ms);
  Feed(0x7ED, "10 0B 59 02 7F 0A A6 1A", 5ms);
  Feed(0x7ED, "21 AF 0A 0A 13 50", 6ms);
  Feed(0x7E5, "06 19 04 0A A6 1A FF", 10ms);
  Feed(0x7ED, "10 0B 59 04 0A A6 1A 2F", 15ms);
  Feed(0x7ED, "21 01 01 47 11 A6", 16ms);
  Feed(0x7E5, "06 19 06 0A A6 1A FF", 20ms);
  Feed(0x7ED, "10 08 59 06 0A A6 1A 2F", 25ms);
  Feed(0x7ED, "21 01 17", 26ms);
  Finish();
  const UnitReport unit = Unit();
  EXPECT_THAT(unit.oddities, IsEmpty());
  EXPECT_EQ(unit.codes.size(), 2u);
  EXPECT_EQ(unit.faults(), 1u);
  const ReportedCode& isolation = unit.codes.at({0x0AA6, std::uint8_t{0x1A}});
  EXPECT_EQ(isolation.status, 0x2F) << "bit 7 is not among those it supports";
  ASSERT_EQ(isolation.snapshots.size(), 1u);
  EXPECT_EQ(ToHex(isolation.snapshots[0].data), "01 47 11 A6");
  ASSERT_EQ(isolation.extended.size(), 1u);
  EXPECT_EQ(isolation.first_seen, WallTime(6ms));
  EXPECT_EQ(isolation.last_seen, WallTime(26ms));
}

TEST_F(ConversationsTest, ACodeListedWithAndWithoutItsFailureTypeIsOne) {
  Feed(0x7E5, "01 03", 0ms);
  Feed(0x7ED, "06 43 02 0A A6 0A 9B", 5ms);
  Feed(0x7E5, "03 19 02 FF", 10ms);
  Feed(0x7ED, "07 59 02 FF 0A A6 1A 2F", 15ms);
  Finish();
  const UnitReport unit = Unit();
  EXPECT_EQ(unit.faults(), 2u);
  ASSERT_TRUE(unit.codes.contains({0x0AA6, std::uint8_t{0x1A}}));
  EXPECT_TRUE(unit.codes.at({0x0AA6, std::uint8_t{0x1A}}).stored);
  EXPECT_EQ(unit.codes.at({0x0AA6, std::uint8_t{0x1A}}).first_seen, WallTime(5ms));
  EXPECT_FALSE(unit.codes.contains({0x0AA6, std::nullopt}));
  EXPECT_TRUE(unit.codes.contains({0x0A9B, std::nullopt}));
}

TEST_F(ConversationsTest, ALaterListOfAnObdServiceReplacesTheEarlierOne) {
  Feed(0x7E5, "01 07", 0ms);
  Feed(0x7ED, "04 47 01 0A 9B", 5ms);
  Feed(0x7E5, "01 07", 10s);
  Feed(0x7ED, "02 47 00", 10s + 5ms);
  Finish();
  EXPECT_EQ(Unit().codes.size(), 1u);
  EXPECT_EQ(Unit().faults(), 0u);
}

TEST_F(ConversationsTest, WrongLengthsAreNamed) {
  Feed(0x7E5, "03 19 02 FF", 0ms);
  Feed(0x7ED, "05 59 02 FF 0A A6", 5ms);
  Feed(0x7E5, "01 03", 10ms);
  Feed(0x7ED, "04 43 09 0A A6", 15ms);
  Feed(0x7E5, "02 01 01", 20ms);
  Feed(0x7ED, "03 41 01 82", 25ms);
  Feed(0x7E5, "03 19 02 08", 30ms);
  Feed(0x7ED, "02 59 02", 35ms);
  Finish();
  EXPECT_THAT(
      Unit().oddities,
      ElementsAre("a list of codes ends in the middle of a code",
                  "a list of codes is not as long as it says (9 codes stated, 1 code found)",
                  "the answer 41 01 82 is no monitor status",
                  "the answer 59 02 is no list of trouble codes"));
}

TEST_F(ConversationsTest, Identification) {
  Feed(0x7E5, "03 22 F1 95", 0ms);
  Feed(0x7ED, "07 62 F1 95 31 2E 30 34", 5ms);
  Feed(0x7E5, "03 22 D1 A4", 10ms);
  Feed(0x7ED, "04 62 D1 A4 01", 15ms);
  Feed(0x7E5, "03 22 F1 87", 20ms);
  Feed(0x7ED, "03 7F 22 31", 25ms);
  Finish();
  ASSERT_EQ(Unit().identification.size(), 1u);
  EXPECT_EQ(ToHex(Unit().identification.at(0xF195)), "31 2E 30 34");
  ASSERT_EQ(Unit().refusals.size(), 1u);
  EXPECT_EQ(Unit().refusals[0].request, "ReadDataByIdentifier F187");
  EXPECT_EQ(Unit().refusals[0].code, 0x31);
}

TEST_F(ConversationsTest, AFloodOfUnansweredRequestsTakeNoRoom) {
  std::size_t visited = 0;
  ConversationTracker tracker(book_, [&](const Conversation&) { ++visited; });
  for (int i = 0; i < 5000; ++i) {
    SeenMessage message;
    message.address = {0x7E0, false};
    message.bytes = {0x22, 0xD1, 0xA4};
    tracker.OnMessage(message);
  }
  EXPECT_EQ(visited, 5000u - 256);
  tracker.Finish();
  EXPECT_EQ(visited, 5000u);
}

TEST(AnswersToTest, Repeats) {
  EXPECT_TRUE(AnswersTo(Hex("10 03"), Hex("50 03 00 32 01 F4")));
  EXPECT_FALSE(AnswersTo(Hex("10 03"), Hex("50 01 00 32 01 F4")));
  EXPECT_TRUE(AnswersTo(Hex("3E 80"), Hex("7E 00")));
  EXPECT_TRUE(AnswersTo(Hex("01 0D"), Hex("41 0D 32")));
  EXPECT_FALSE(AnswersTo(Hex("01 0D"), Hex("41 0C 1A F8")));
  EXPECT_TRUE(AnswersTo(Hex("03"), Hex("43 00")));
  EXPECT_TRUE(AnswersTo(Hex("22 F1 90"), Hex("7F 22 31")));
  EXPECT_FALSE(AnswersTo(Hex("22 F1 90"), Hex("7F 19 31")));
  EXPECT_TRUE(AnswersTo(Hex("22 F1 90"), Hex("62")));
  EXPECT_FALSE(AnswersTo({}, Hex("62")));
}

// They stand in sessions: a change would make old ones mean something else.
TEST(KeptNumbers, AreThoseThatSessionsHave) {
  const AnswerKind kinds[] = {AnswerKind::kPositive, AnswerKind::kRefused, AnswerKind::kPending,
                              AnswerKind::kBroken};
  for (int i = 0; i < 4; ++i) EXPECT_EQ(static_cast<int>(kinds[i]), i);
  EXPECT_EQ(static_cast<int>(TransferProblem::kNone), 0);
  EXPECT_EQ(static_cast<int>(TransferProblem::kFrameTimeout), 3);
  EXPECT_EQ(static_cast<int>(TransferProblem::kTooLong), 9);
  EXPECT_EQ(static_cast<int>(TransferProblem::kCrowded), 11);
}

}  // namespace
}  // namespace proofdrive::decoders
