#include "daemon/publishing/messages.h"

#include <gmock/gmock.h>

#include "tests/unit/daemon/json/live_snapshot.h"

namespace proofdrive::daemon {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

const mqtt::Message kNotRecording{"car/recording", R"({"name":"","recording":false})", true};
const mqtt::Message kWarningOff{
    "car/warnings/coolant_low",
    R"({"severity":"stop","since":"1970-01-01T00:16:40.000Z","state":"off","text":"Coolant level low"})",
    true};

class MqttMessagesTest : public ::testing::Test {
 protected:
  Snapshot Cart() {
    Snapshot snapshot = CartSnapshot(definitions_, 3);
    snapshot.warnings[0].from = WallFromNanoseconds(1'000'000'000'000);
    AddValue(snapshot, 0, 0, 1);
    AddValue(snapshot, 1, 0, 400.1, true);
    AddValue(snapshot, 2, 1, 3.5);
    return snapshot;
  }
  const std::shared_ptr<const decoders::Definitions> definitions_ = CartDefinitions();
};

TEST_F(MqttMessagesTest, ChosenSignalsEveryTimeTheRestWhenItChanges) {
  MqttMessages messages("car", {"voltage", "level"});
  const mqtt::Message level{
      "car/signals/level",
      R"({"stale":false,"state":"good","time":"1970-01-01T00:16:40.000Z","unit":"","validity":"valid","value":1.0})",
      false};
  const mqtt::Message voltage{
      "car/signals/voltage",
      R"({"stale":true,"time":"1970-01-01T00:16:40.000Z","unit":"V","validity":"valid","value":400.1})",
      false};
  EXPECT_THAT(messages.Collect(Cart()), ElementsAre(level, voltage, kWarningOff, kNotRecording));
  EXPECT_THAT(messages.Collect(Cart()), ElementsAre(level, voltage));
  messages.Restart();
  EXPECT_THAT(messages.Collect(Cart()), ElementsAre(level, voltage, kWarningOff, kNotRecording));
}

TEST_F(MqttMessagesTest, AllMeansElementsToo) {
  MqttMessages messages("car", {"all"});
  std::vector<std::string> topics;
  for (const mqtt::Message& message : messages.Collect(Cart())) topics.push_back(message.topic);
  EXPECT_THAT(topics, ElementsAre("car/signals/level", "car/signals/voltage", "car/signals/cell/2",
                                  "car/warnings/coolant_low", "car/recording"));
}

TEST_F(MqttMessagesTest, WhatChangesIsTold) {
  MqttMessages messages("car", {});
  EXPECT_THAT(messages.Collect(Cart()), ElementsAre(kWarningOff, kNotRecording));
  Snapshot on = Cart();
  on.warnings[0].kind = decoders::WarningStateKind::kOn;
  on.recording.emplace();
  on.recording->name = "drive-7";
  const auto told = messages.Collect(on);
  ASSERT_EQ(told.size(), 2u);
  EXPECT_THAT(told[0].payload, ::testing::HasSubstr(R"("state":"on")"));
  EXPECT_EQ(told[1].payload, R"({"name":"drive-7","recording":true})");
  EXPECT_THAT(messages.Collect(on), IsEmpty());
}

TEST_F(MqttMessagesTest, WithoutDefinitionsOnlyTheRecording) {
  MqttMessages messages("car", {"all"});
  EXPECT_THAT(messages.Collect(CartSnapshot(nullptr, 0)), ElementsAre(kNotRecording));
}

}  // namespace
}  // namespace proofdrive::daemon
