// The way out: what passes, how often, and when codes may be cleared.
#include "daemon/asking/request_gate.h"

#include <gmock/gmock.h>

#include "daemon/asking/clearing.h"
#include "tests/support/matchers.h"
#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::daemon {
namespace {

using namespace std::chrono_literals;
using decoders::Permission;
using decoders::testing::Load;
using decoders::testing::MakeFrame;
using ::testing::HasSubstr;

class CountingSender : public FrameSender {
 public:
  Status Send(const Frame& frame) override {
    frames.push_back(frame);
    return Status::Ok();
  }
  std::vector<Frame> frames;
};

class RequestGateTest : public ::testing::Test {
 protected:
  void SetUp() override { gate_.Add(0, 2, sender_); }
  Status Send(const std::vector<std::uint8_t>& data, Duration at, std::uint8_t channel = 0) {
    Frame frame = MakeFrame(0x7E5, data);
    frame.channel = channel;
    return gate_.Send(frame, {0x7E5, false}, Permission::kRead, SteadyTime(1h + at));
  }

  std::shared_ptr<CountingSender> sender_ = std::make_shared<CountingSender>();
  RequestGate gate_;
};

TEST_F(RequestGateTest, OnlyAllowedRequestsReachTheBus) {
  EXPECT_OK(Send({0x03, 0x22, 0xF1, 0x90}, 0ms));
  EXPECT_OK(Send({0x30, 0x00, 0x00}, 0ms, 1));
  EXPECT_FALSE(Send({0x02, 0x11, 0x01}, 0ms).ok());
  EXPECT_FALSE(Send({0x04, 0x14, 0xFF, 0xFF, 0xFF}, 0ms).ok());
  EXPECT_FALSE(Send({0x03, 0x22, 0xF1, 0x90}, 0ms, 2).ok()) << "no way to that channel";
  EXPECT_EQ(sender_->frames.size(), 2u);
}

TEST_F(RequestGateTest, TheByteOfAnAddressIsNoPartOfTheRequest) {
  const Frame read = MakeFrame(0x712, std::vector<std::uint8_t>{0x2C, 0x03, 0x22, 0xF1, 0x90});
  const decoders::BusAddress unit{0x712, false, 0x2C};
  const SteadyTime now(1h);
  EXPECT_OK(gate_.Send(read, unit, Permission::kRead, now));
  const Frame reset = MakeFrame(0x712, std::vector<std::uint8_t>{0x2C, 0x02, 0x11, 0x01});
  EXPECT_FALSE(gate_.Send(reset, unit, Permission::kRead, now).ok());
  // What is a harmless flow control for one kind of address must not be a request for the other.
  const Frame both = MakeFrame(0x712, std::vector<std::uint8_t>{0x30, 0x02, 0x11, 0x01});
  EXPECT_FALSE(gate_.Send(both, {0x712, false, 0x30}, Permission::kRead, now).ok());
  EXPECT_FALSE(gate_.Send(read, {0x712, false, 0x2D}, Permission::kRead, now).ok())
      << "goes to another unit";
  EXPECT_EQ(sender_->frames.size(), 1u);
}

TEST_F(RequestGateTest, NotTooMany) {
  int passed = 0;
  for (int ms = 0; ms < 10000; ++ms) {
    if (Send({0x02, 0x3E, 0x00}, std::chrono::milliseconds(ms)).ok()) ++passed;
  }
  EXPECT_LE(passed, 10 + 200);
  EXPECT_GE(passed, 200);
  const SteadyTime now(1h + 10s);
  EXPECT_LE(gate_.ReadyAt(now) - now, 52ms);
}

TEST_F(RequestGateTest, FlowControlIsAlwaysInTime) {
  for (int i = 0; i < 100; ++i) EXPECT_OK(Send({0x30, 0x00, 0x00}, 0ms));
}

class ClearingTest : public ::testing::Test {
 protected:
  void SetUp() override {
    snapshot_.definitions = Load(R"(byte order: big
frames:
  motion: {id: 0x10, signals: {speed: {where: byte 0, unit: km/h, role: vehicle speed}}}
  port:
    id: 0x11
    signals:
      charge: {where: byte 0, role: charge state, states: {0: unplugged, 2: charging}}
)");
    snapshot_.recording.emplace();
  }
  void Set(std::uint32_t signal, double number) {
    LatestValue latest;
    latest.value.signal = signal;
    latest.value.number = number;
    latest.value.raw = static_cast<std::int64_t>(number);
    snapshot_.values.push_back(latest);
  }
  std::string Refusal(const std::string& reason = "") {
    const Status status = CheckMayClear(snapshot_, reason);
    return status.ok() ? "" : status.message();
  }

  Snapshot snapshot_;
};

TEST_F(ClearingTest, AtRest) {
  Set(0, 0);
  Set(1, 0);
  EXPECT_EQ(Refusal(), "");
}

TEST_F(ClearingTest, NeverWhileItMovesOrCharges) {
  Set(0, 12);
  Set(1, 0);
  EXPECT_EQ(Refusal("I know better"), "codes are not cleared while the car moves (12)");
  snapshot_.values.clear();
  Set(0, 0);
  Set(1, 2);
  EXPECT_EQ(Refusal("I know better"), "codes are not cleared while the car charges");
}

TEST_F(ClearingTest, WhatIsNotKnownNeedsAReason) {
  Set(0, 0);
  EXPECT_THAT(Refusal(), HasSubstr("no signal has the role charge state, or it is silent"));
  EXPECT_THAT(Refusal("  "), HasSubstr("--reason"));
  EXPECT_EQ(Refusal("on stands, unplugged"), "");
  snapshot_.values.back().stale = true;
  EXPECT_THAT(Refusal(), HasSubstr("role vehicle speed or charge state"));
}

TEST_F(ClearingTest, OnlyWithARecording) {
  Set(0, 0);
  Set(1, 0);
  snapshot_.recording.reset();
  EXPECT_THAT(Refusal("whatever"), HasSubstr("nothing is being recorded"));
}

TEST(ConfirmationTest, OneWordOnceForFiveMinutes) {
  Confirmation confirmation;
  const SteadyTime now(1h);
  EXPECT_FALSE(confirmation.Take("", now));
  const std::string word = confirmation.Give(now);
  EXPECT_EQ(word.size(), 4u);
  EXPECT_TRUE(confirmation.Take(word, now + 4min));
  EXPECT_FALSE(confirmation.Take(word, now + 4min)) << "only once";
  const std::string late = confirmation.Give(now);
  EXPECT_FALSE(confirmation.Take(late, now + 6min));
}

}  // namespace
}  // namespace proofdrive::daemon
