#include "analysis/asking/code_rounds.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

using decoders::AnswerKind;
using decoders::Conversation;

constexpr decoders::BusAddress kRequest{0x7E5, false};
constexpr decoders::BusAddress kAnswer{0x7ED, false};
constexpr decoders::BusAddress kAll{0x7DF, false};
using Bytes = std::vector<std::uint8_t>;

WallTime At(double seconds) {
  return WallTime(std::chrono::seconds(1'772'366'400)) + FromSeconds(seconds);
}

Conversation Asked(double at, const Bytes& request, const Bytes& answer,
                   decoders::BusAddress to = kRequest) {
  Conversation conversation;
  conversation.request.address = to;
  conversation.request.begun = conversation.request.ended = At(at);
  conversation.request.bytes = request;
  conversation.functional = to == kAll;
  if (answer.empty()) return conversation;
  decoders::UnitAnswer one;
  one.kind = answer[0] == 0x7F ? AnswerKind::kRefused : AnswerKind::kPositive;
  one.message.address = kAnswer;
  one.message.begun = one.message.ended = At(at + 0.05);
  one.message.bytes = answer;
  conversation.answers.push_back(one);
  return conversation;
}

const Bytes kByMask = {0x19, 0x02, 0xFF};
const Bytes kSupported = {0x19, 0x0A};

Bytes List(std::uint8_t report, std::uint8_t status, std::uint8_t available = 0xFF) {
  return {0x59, report, available, 0x0A, 0xA6, 0x1A, status};
}

class CodeRounds : public ::testing::Test {
 protected:
  const UnitRounds& Unit() {
    heard_ = recorder_.Finish();
    EXPECT_EQ(heard_.units.size(), 1U);
    return heard_.units.at(0);
  }
  const decoders::AddressBook book_{};
  CodeRecorder recorder_{book_};
  CodesHeard heard_;
};

TEST_F(CodeRounds, OneRoundHoldsAllThatWasAskedTogether) {
  // A question to all ends seconds after the ones to single units.
  recorder_.Add(Asked(3, kByMask, List(0x02, 0x2F)));
  recorder_.Add(Asked(4, kSupported, List(0x0A, 0x2F)));
  recorder_.Add(Asked(1, {0x03}, {0x43, 0x01, 0x0A, 0xA6}, kAll));
  recorder_.Add(Asked(2, {0x07}, {0x47, 0x00}, kAll));
  recorder_.Add(Asked(2.5, {0x01, 0x01}, {0x41, 0x01, 0x81, 0x44, 0, 0}, kAll));
  const UnitRounds& unit = Unit();
  ASSERT_EQ(unit.rounds.size(), 1U);
  const CodeRound& round = unit.rounds[0];
  EXPECT_TRUE(round.by_mask && round.supported);
  EXPECT_EQ(round.obd_lists, (std::set<std::uint8_t>{0x03, 0x07}));
  ASSERT_EQ(round.codes.size(), 1U);
  const CodeState& state = round.codes.begin()->second;
  EXPECT_EQ(state.status, 0x2F);
  EXPECT_TRUE(state.stored);
  EXPECT_FALSE(state.pending);
  EXPECT_FALSE(round.monitors->ready());
  EXPECT_EQ(unit.request, kRequest);
  EXPECT_TRUE(heard_.asked_all.contains(0));
}

TEST_F(CodeRounds, TheSameListAgainBeginsAnotherRoundAndEqualOnesCountOnce) {
  for (const double at : {1.0, 2.0, 3.0}) recorder_.Add(Asked(at, kByMask, List(0x02, 0x2F)));
  recorder_.Add(Asked(4, kByMask, List(0x02, 0x50)));
  const UnitRounds& unit = Unit();
  ASSERT_EQ(unit.rounds.size(), 2U);
  EXPECT_EQ(unit.rounds[0].from, At(1.05));
  EXPECT_EQ(unit.rounds[0].to, At(3.05));
  EXPECT_FALSE(unit.rounds[1].codes.begin()->second.IsSet());
}

TEST_F(CodeRounds, ClearingEndsARound) {
  recorder_.Add(Asked(1, kByMask, List(0x02, 0x2F)));
  recorder_.Add(Asked(2, {0x14, 0xFF, 0xFF, 0xFF}, {0x54}));
  recorder_.Add(Asked(3, kSupported, List(0x0A, 0x50)));
  const UnitRounds& unit = Unit();
  EXPECT_EQ(unit.cleared, std::vector<WallTime>{At(2.05)});
  ASSERT_EQ(unit.rounds.size(), 2U);
  EXPECT_FALSE(unit.rounds[1].by_mask);
}

TEST_F(CodeRounds, UnsupportedBitsAreNoStatus) {
  recorder_.Add(Asked(1, kByMask, List(0x02, 0xFF, 0x0F)));
  EXPECT_EQ(Unit().rounds.at(0).codes.begin()->second.status, 0x0F);
}

TEST_F(CodeRounds, RefusalsAndSilenceAreCounted) {
  recorder_.Add(Asked(1, kByMask, {0x7F, 0x19, 0x22}));
  recorder_.Add(Asked(2, {0x3E, 0x00}, {}));
  recorder_.Add(Asked(3, {0x22, 0xF1, 0x95}, {}));  // says nothing of codes
  const UnitRounds& unit = Unit();
  EXPECT_TRUE(unit.rounds.empty());
  EXPECT_NE(unit.refused, "");
  const AskedAddress& asked = heard_.asked.at({0, kRequest});
  EXPECT_EQ(asked.asked, 2U);
  EXPECT_EQ(asked.answered, 1U);
  EXPECT_TRUE(asked.SilentAtEnd());
}

TEST_F(CodeRounds, ManyRoundsKeepTheLatest) {
  for (int i = 0; i < 200; ++i) {
    const auto status = static_cast<std::uint8_t>(i % 2 == 0 ? 0x2F : 0x50);
    recorder_.Add(Asked(i, kByMask, List(0x02, status)));
  }
  const UnitRounds& unit = Unit();
  EXPECT_EQ(unit.rounds.size(), CodeRecorder::kMostRounds);
  EXPECT_EQ(unit.rounds.back().to, At(199.05));
}

}  // namespace
}  // namespace proofdrive::analysis
