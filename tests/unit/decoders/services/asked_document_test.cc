// The document of what was asked: read back as written, and whatever stands in one from elsewhere.
#include "decoders/services/asked_document.h"

#include <gmock/gmock.h>

#include <nlohmann/json.hpp>

#include "tests/support/matchers.h"

namespace proofdrive::decoders {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;
using testing::IsError;
using testing::IsOk;

const WallTime kTime = WallFromNanoseconds(1'772'366'400'000'123'000);

UnitAnswer Answer(AnswerKind kind, std::vector<std::uint8_t> bytes, TransferProblem problem) {
  UnitAnswer answer;
  answer.kind = kind;
  answer.pending = 2;
  answer.message.channel = 3;
  answer.message.address = {0x712, false, std::uint8_t{0x2C}};
  answer.message.begun = kTime;
  answer.message.ended = kTime + std::chrono::nanoseconds(7);
  answer.message.problem = problem;
  answer.message.announced = 300;
  answer.message.bytes = std::move(bytes);
  return answer;
}

AskedDocument Invented() {
  AskedDocument document{"codes", "on demand", kTime, "the bus went away", {}, {}, {}};
  document.channels = {{3, "can0", "pack"}};
  document.named = {{"unit", {{0x7E5, false}, {0x18DAF110, true}}}};
  Conversation conversation;
  conversation.request.channel = 3;
  conversation.request.address = {0x7DF, false};
  conversation.request.begun = conversation.request.ended = kTime;
  conversation.request.bytes = {0x19, 0x02, 0xFF};
  conversation.functional = true;
  conversation.answers = {
      Answer(AnswerKind::kPositive, {0x59, 0x02}, TransferProblem::kNone),
      Answer(AnswerKind::kBroken, {}, TransferProblem::kFrameTimeout),
  };
  document.conversations = {conversation};
  return document;
}

json Written(const AskedDocument& document) { return json::parse(WriteAskedDocument(document)); }

TEST(AskedDocumentTest, IsReadAsItWasWritten) {
  const auto read = ReadAskedDocument(Written(Invented()));
  ASSERT_OK(read);
  EXPECT_EQ(read->what, "codes");
  EXPECT_EQ(read->reason, "on demand");
  EXPECT_EQ(read->time, kTime);
  EXPECT_EQ(read->problem, "the bus went away");
  ASSERT_EQ(read->channels.size(), 1u);
  EXPECT_EQ(read->channels[0].bus, "pack");
  ASSERT_EQ(read->named.size(), 1u);
  EXPECT_EQ(read->named[0].address.answer, (BusAddress{0x18DAF110, true}));
  ASSERT_EQ(read->conversations.size(), 1u);
  const Conversation& conversation = read->conversations[0];
  EXPECT_TRUE(conversation.functional);
  EXPECT_EQ(conversation.request.bytes, (std::vector<std::uint8_t>{0x19, 0x02, 0xFF}));
  ASSERT_EQ(conversation.answers.size(), 2u);
  const UnitAnswer& broken = conversation.answers[1];
  EXPECT_EQ(broken.kind, AnswerKind::kBroken);
  EXPECT_EQ(broken.message.problem, TransferProblem::kFrameTimeout);
  EXPECT_EQ(broken.message.address, Invented().conversations[0].answers[1].message.address);
  EXPECT_EQ(broken.message.ended, kTime + std::chrono::nanoseconds(7));
  EXPECT_EQ(broken.message.channel, 3);
  EXPECT_EQ(broken.message.announced, 300u);
  EXPECT_EQ(WriteAskedDocument(*read), WriteAskedDocument(Invented())) << "nothing is left out";
}

TEST(AskedDocumentTest, KindsAreTheNumbersOfOldSessions) {
  const json answers = Written(Invented())["conversations"][0]["answers"];
  EXPECT_EQ(answers[0]["kind"], 0);
  EXPECT_EQ(answers[1]["kind"], 3);
  EXPECT_EQ(answers[1]["problem"], 3);
}

TEST(AskedDocumentTest, NumbersOfTheFutureCountAsTheLastKnown) {
  json document = Written(Invented());
  document["conversations"][0]["answers"][0]["kind"] = 200U;
  const auto read = ReadAskedDocument(document);
  ASSERT_OK(read);
  EXPECT_EQ(read->conversations[0].answers[0].kind, AnswerKind::kBroken);
}

TEST(AskedDocumentTest, OtherKindsOfMembersAreAsIfMissing) {
  for (const char* text : {"{}", R"({"channels":7,"named":[1,"x"],"conversations":{"a":1}})",
                           R"({"what":[],"time":"soon","problem":null})"}) {
    const auto read = ReadAskedDocument(json::parse(text));
    ASSERT_OK(read) << text;
    EXPECT_TRUE(read->conversations.empty());
  }
}

TEST(AskedDocumentTest, NonsenseInAConversationIsAnError) {
  json document = Written(Invented());
  document["conversations"][0]["answers"][0]["bytes"] = "";
  EXPECT_THAT(ReadAskedDocument(document),
              IsError(ErrorKind::kCorrupt, HasSubstr("without bytes")));
  document["conversations"][0]["answers"][0]["bytes"] = "5";
  EXPECT_FALSE(ReadAskedDocument(document).ok());
}

}  // namespace
}  // namespace proofdrive::decoders
