// One request and its answers against a clock, with units that behave and units that do not.
// Times: P2 50 ms and P2* 5000 ms of ISO 14229-2.
#include "decoders/services/request_round.h"

#include <gmock/gmock.h>

#include "decoders/services/allowed.h"
#include "tests/support/matchers.h"
#include "tests/unit/decoders/test_definitions.h"
#include "tests/unit/decoders/transport/bytes_text.h"

namespace proofdrive::decoders {
namespace {

using namespace std::chrono_literals;
using testing::Hex;
using ::testing::IsEmpty;
using testing::MakeFrame;
using testing::ToHex;

class RequestRoundTest : public ::testing::Test {
 protected:
  static ClockPair At(Duration time) { return {WallTime(time), SteadyTime(time)}; }
  RequestRound Start(std::uint32_t id, const char* request) {
    RequestRound round(book_, {0, {id, false}}, Hex(request), At(0ms));
    EXPECT_EQ(Sent(round, 0ms).substr(0, 2), "0" + std::to_string(Hex(request).size()));
    return round;
  }
  // The next frame as text, sent at once; "" when none is due.
  static std::string Sent(RequestRound& round, Duration time) {
    const auto frame = round.Next(At(time));
    if (!frame) return "";
    round.OnSent(At(time));
    return ToHex(frame->payload());
  }
  static void Hear(RequestRound& round, std::uint32_t id, const char* bytes, Duration time) {
    round.OnFrame(MakeFrame(id, Hex(bytes), time), At(time));
    round.Advance(At(time));
  }

  AddressBook book_;
};

TEST_F(RequestRoundTest, OneAnswerEndsIt) {
  RequestRound round = Start(0x7E5, "22 D1 A4");
  EXPECT_FALSE(round.done());
  Hear(round, 0x7ED, "05 62 D1 A4 01 F4", 12ms);
  EXPECT_TRUE(round.done());
  EXPECT_TRUE(round.conversation().complete());
  EXPECT_EQ(Sent(round, 20ms), "");
}

TEST_F(RequestRoundTest, SilenceEndsIt) {
  RequestRound round = Start(0x7E5, "22 D1 A4");
  EXPECT_EQ(round.deadline(SteadyTime(0ms)), SteadyTime(1s));
  round.Advance(At(999ms));
  EXPECT_FALSE(round.done());
  round.Advance(At(1s));
  EXPECT_TRUE(round.done());
  EXPECT_THAT(round.conversation().answers, IsEmpty());
}

TEST_F(RequestRoundTest, ResponsePendingIsWaitedFor) {
  RequestRound round = Start(0x7E5, "19 02 FF");
  Hear(round, 0x7ED, "03 7F 19 78", 40ms);
  round.Advance(At(5000ms));
  EXPECT_FALSE(round.done());
  Hear(round, 0x7ED, "03 7F 19 78", 5000ms);
  round.Advance(At(9900ms));
  EXPECT_FALSE(round.done());
  Hear(round, 0x7ED, "03 59 02 FF", 9950ms);
  EXPECT_TRUE(round.done());
  EXPECT_EQ(round.conversation().answers.at(0).pending, 2u);
  EXPECT_EQ(round.conversation().answers.at(0).kind, AnswerKind::kPositive);
}

TEST_F(RequestRoundTest, EndlessResponsePendingIsGivenUp) {
  RequestRound round = Start(0x7E5, "19 02 FF");
  Duration now{0};
  while (!round.done() && now < 10min) Hear(round, 0x7ED, "03 7F 19 78", now += 20ms);
  EXPECT_TRUE(round.done());
  EXPECT_LT(now, 2s);
  EXPECT_EQ(round.conversation().answers.size(), 1u);
  EXPECT_FALSE(round.conversation().complete());
}

TEST_F(RequestRoundTest, SeveralLongAnswersAtOnce) {
  RequestRound round = Start(0x7DF, "03");
  Hear(round, 0x7E8, "10 08 43 03 0A A6 0A 0A", 10ms);
  EXPECT_EQ(Sent(round, 10ms).substr(0, 8), "30 00 00");
  Hear(round, 0x7E9, "10 08 43 03 0A 9B C1 00", 11ms);
  const auto flow = round.Next(At(11ms));
  ASSERT_TRUE(flow);
  EXPECT_EQ(flow->id, 0x7E1u) << "each unit is granted on its own identifier";
  round.OnSent(At(11ms));
  Hear(round, 0x7E9, "21 C1 11", 20ms);
  Hear(round, 0x7E8, "21 0A 9B", 21ms);
  EXPECT_FALSE(round.done()) << "others may still answer";
  round.Advance(At(300ms));
  EXPECT_TRUE(round.done());
  ASSERT_EQ(round.conversation().answers.size(), 2u);
  EXPECT_EQ(ToHex(round.conversation().answers[0].message.bytes), "43 03 0A 9B C1 00 C1 11");
  EXPECT_TRUE(round.conversation().complete());
}

TEST_F(RequestRoundTest, AnswersOutOfTurnAreCountedNotTaken) {
  RequestRound round = Start(0x7E5, "22 D1 A4");
  Hear(round, 0x7ED, "05 62 D1 A5 01 F4", 5ms);  // to an earlier request
  Hear(round, 0x7EB, "05 62 D1 A4 01 F4", 6ms);  // another unit
  Hear(round, 0x7ED, "03 7F 19 31", 7ms);        // to another service
  EXPECT_FALSE(round.done());
  EXPECT_EQ(round.out_of_turn(), 2u);
  Hear(round, 0x7ED, "05 62 D1 A4 01 F4", 8ms);
  EXPECT_TRUE(round.done());
}

TEST_F(RequestRoundTest, AMessageThatBreaksOffIsNamed) {
  RequestRound round = Start(0x7E5, "19 02 FF");
  Hear(round, 0x7ED, "10 0B 59 02 FF 0A A6 1A", 10ms);
  Sent(round, 10ms);
  Hear(round, 0x7ED, "22 2F 0A 0A 13 24", 12ms);
  EXPECT_TRUE(round.done());
  EXPECT_EQ(round.conversation().answers.at(0).kind, AnswerKind::kBroken);
  EXPECT_EQ(round.conversation().answers.at(0).message.problem, TransferProblem::kWrongSequence);
}

TEST_F(RequestRoundTest, FourGibibytesAreRefused) {
  RequestRound round = Start(0x7E5, "19 02 FF");
  Hear(round, 0x7ED, "10 00 FF FF FF FF 59 02", 10ms);
  EXPECT_EQ(Sent(round, 10ms).substr(0, 2), "32");
  round.Advance(At(10ms));
  EXPECT_TRUE(round.done());
  EXPECT_EQ(round.conversation().answers.at(0).message.problem, TransferProblem::kTooLong);
}

TEST_F(RequestRoundTest, AFloodOfFlowControlAndOfBeginningsEnds) {
  RequestRound round = Start(0x7DF, "03");
  Duration now{0};
  std::size_t sent = 0;
  for (int i = 0; !round.done() && i < 100000; ++i) {
    now += 1ms;
    Hear(round, 0x7ED, "30 00 00", now);
    Hear(round, static_cast<std::uint32_t>(0x700 + i % 0x100), "10 FF 43 03 0A A6 0A 0A", now);
    while (!Sent(round, now).empty()) ++sent;
  }
  EXPECT_TRUE(round.done());
  EXPECT_LE(now, 31s);
  EXPECT_LE(round.conversation().answers.size(), 64u);
}

TEST(AllowedTest, ReadsOnly) {
  for (const char* request : {"01 00", "03", "07", "09 02", "0A", "10 01", "10 03", "3E 00",
                              "3E 80", "19 02 FF", "22 F1 90"}) {
    EXPECT_OK(CheckRequest(Hex(request), Permission::kRead)) << request;
  }
}

TEST(AllowedTest, NothingElse) {
  for (int service = 0; service <= 0xFF; ++service) {
    const std::vector<std::uint8_t> request = {static_cast<std::uint8_t>(service), 0x02, 0x01};
    const bool allowed = CheckRequest(request, Permission::kRead).ok();
    const bool known = service == 0x01 || service == 0x02 || service == 0x03 || service == 0x06 ||
                       service == 0x07 || service == 0x09 || service == 0x0A || service == 0x3E ||
                       service == 0x19 || service == 0x22;
    EXPECT_EQ(allowed, known) << service;
  }
  EXPECT_FALSE(CheckRequest(Hex("10 02"), Permission::kRead).ok()) << "programming";
  EXPECT_FALSE(CheckRequest(Hex("10 03 00"), Permission::kRead).ok());
  EXPECT_FALSE(CheckRequest({}, Permission::kRead).ok());
  EXPECT_EQ(CheckRequest(Hex("14 FF FF FF"), Permission::kRead).message(),
            "\"ClearDiagnosticInformation FF FF FF\" is not among the requests that may be sent");
}

TEST(AllowedTest, ClearingNeedsItsPermission) {
  EXPECT_OK(CheckRequest(Hex("14 FF FF FF"), Permission::kClear));
  EXPECT_FALSE(CheckRequest(Hex("2E F1 90 41"), Permission::kClear).ok());
  EXPECT_FALSE(CheckRequest(Hex("31 01 00 00"), Permission::kClear).ok());
}

TEST(AllowedTest, Frames) {
  EXPECT_OK(CheckRequestFrame(Hex("03 22 F1 90 CC CC CC CC"), false, Permission::kRead));
  EXPECT_OK(CheckRequestFrame(Hex("30 00 00"), false, Permission::kRead));
  EXPECT_FALSE(CheckRequestFrame(Hex("10 08 22 F1 90 F1 91 F1"), false, Permission::kRead).ok());
  EXPECT_FALSE(CheckRequestFrame(Hex("21 22 F1 90"), false, Permission::kRead).ok());
  EXPECT_FALSE(CheckRequestFrame(Hex("02 11 01"), false, Permission::kRead).ok());
  EXPECT_FALSE(CheckRequestFrame({}, false, Permission::kRead).ok());
}

// Extended addressing, ISO 15765-2 cl. 10.3.3 (from memory): a byte before N_PCI, so that a single
// frame has room for 6 bytes and the parts of a long message for one less each.
TEST_F(RequestRoundTest, ExtendedAddressing) {
  book_.Add({{0x712, false, 0x2C}, {0x732, false, 0x5B}});
  book_.Add({{0x712, false, 0x2D}, {0x733, false, 0x5B}});
  RequestRound round(book_, {0, {0x712, false, 0x2C}}, Hex("22 F1 8C"), At(0ms));
  EXPECT_EQ(Sent(round, 0ms).substr(0, 14), "2C 03 22 F1 8C");
  Hear(round, 0x733, "5B 04 62 F1 8C 39", 5ms);
  EXPECT_FALSE(round.done()) << "the other unit was not asked";
  Hear(round, 0x732, "5C 04 62 F1 8C 39", 6ms);
  EXPECT_FALSE(round.done()) << "that was for another tester";
  Hear(round, 0x732, "5B 10 08 62 F1 8C 31 32", 7ms);
  EXPECT_EQ(Sent(round, 7ms).substr(0, 11), "2C 30 00 00");
  Hear(round, 0x732, "5B 21 33 34 35 AA AA AA", 8ms);
  ASSERT_TRUE(round.done());
  const SeenMessage& message = round.conversation().answers.at(0).message;
  EXPECT_EQ(ToHex(message.bytes), "62 F1 8C 31 32 33 34 35");
  EXPECT_EQ(FormatAddress(message.address), "732 5B");
  EXPECT_OK(CheckRequestFrame(Hex("2C 03 22 F1 8C"), true, Permission::kRead));
  EXPECT_FALSE(CheckRequestFrame(Hex("2C 02 11 01"), true, Permission::kRead).ok());
}

// ISO 15765-2 cl. 9.6.2: on CAN FD one frame holds up to 62 bytes, with an escape sequence in place
// of the length when the frame is longer than 8 bytes.
TEST_F(RequestRoundTest, FlexibleDataRate) {
  book_.Add({{0x7E5, false}, {0x7ED, false}, true});
  RequestRound round(book_, {0, {0x7E5, false}}, Hex("22 F1 8C"), At(0ms));
  const auto request = round.Next(At(0ms));
  ASSERT_TRUE(request);
  EXPECT_TRUE(request->Is(kFlexibleData));
  EXPECT_EQ(ToHex(request->payload()).substr(0, 11), "03 22 F1 8C");
  round.OnSent(At(0ms));
  Frame answer = MakeFrame(0x7ED, Hex("00 09 62 F1 8C 31 32 33 34 35 36 CC"), 9ms);
  answer.flags = kFlexibleData;
  round.OnFrame(answer, At(9ms));
  round.Advance(At(9ms));
  ASSERT_TRUE(round.done());
  EXPECT_EQ(ToHex(round.conversation().answers.at(0).message.bytes), "62 F1 8C 31 32 33 34 35 36");
}

}  // namespace
}  // namespace proofdrive::decoders
