// Classes and bytes: linux/can/error.h; can_change_state() of drivers/net/can/dev.
#include "daemon/sources/can/can_errors.h"

#include <gmock/gmock.h>

namespace proofdrive::daemon {
namespace {

Frame Error(std::uint32_t id, std::vector<std::uint8_t> data) {
  Frame frame;
  frame.id = id;
  frame.flags = kErrorMessage;
  frame.length = 8;
  frame.channel = 2;
  std::copy(data.begin(), data.end(), frame.data.begin());
  return frame;
}

std::vector<std::string> Texts(const Frame& frame) {
  std::vector<std::string> texts;
  for (const session::Event& event : EventsOf(frame)) {
    texts.push_back(std::string(session::EventKindName(event.kind)) + ": " + event.text);
  }
  return texts;
}

TEST(CanErrorsTest, StateChangesWithCounters) {
  const std::string state = std::string(session::EventKindName(session::EventKind::kChannelState));
  const std::string counters =
      std::string(session::EventKindName(session::EventKind::kErrorCounters));
  using ::testing::ElementsAre;
  EXPECT_THAT(Texts(Error(0x204, {0, 0x08, 0, 0, 0, 0, 96, 0})),
              ElementsAre(state + ": error warning", counters + ": tx 96 rx 0"));
  EXPECT_THAT(Texts(Error(0x204, {0, 0x10, 0, 0, 0, 0, 0, 136})),
              ElementsAre(state + ": error passive", counters + ": tx 0 rx 136"));
  EXPECT_THAT(Texts(Error(0x004, {0, 0x40})), ElementsAre(state + ": error active"));
  EXPECT_THAT(Texts(Error(0x040, {})), ElementsAre(state + ": bus-off"));
  EXPECT_THAT(Texts(Error(0x100, {})), ElementsAre(state + ": restarted"));
}

TEST(CanErrorsTest, SingleFaultsAreNoEvents) {
  EXPECT_THAT(EventsOf(Error(0x088, {0, 0, 0x04, 0x0A})), ::testing::IsEmpty());
  EXPECT_THAT(EventsOf(Error(0x020, {})), ::testing::IsEmpty());
}

// Classes, bits and locations of linux/can/error.h.
TEST(CanErrorsTest, SingleFaultsInWords) {
  struct Case {
    std::uint32_t id;
    std::vector<std::uint8_t> data;
    BusFault fault;
    std::string text;
  };
  const Case cases[] = {
      {0x002, {0}, BusFault::kLostArbitration, "lost arbitration"},
      {0x002, {5}, BusFault::kLostArbitration, "lost arbitration at bit 5"},
      {0x020, {}, BusFault::kNoAcknowledge, "no acknowledge"},
      {0x088, {0, 0, 0x04, 0x0A}, BusFault::kProtocol, "stuff error in the data field"},
      {0x008, {0, 0, 0x02, 0x08}, BusFault::kProtocol, "form error in the check sequence"},
      {0x008,
       {0, 0, 0x08, 0x1A},
       BusFault::kProtocol,
       "bit error (dominant bit not seen) at the end of frame"},
      {0x008, {0, 0, 0x10, 0}, BusFault::kProtocol, "bit error (recessive bit not seen)"},
      {0x008, {0, 0, 0, 0}, BusFault::kProtocol, "protocol error"},
      {0x010, {0, 0, 0, 0, 0x04}, BusFault::kTransceiver, "CAN high has no wire"},
      {0x010, {0, 0, 0, 0, 0x70}, BusFault::kTransceiver, "CAN low shorted to ground"},
      {0x010, {0, 0, 0, 0, 0x80}, BusFault::kTransceiver, "CAN high and low shorted together"},
      {0x010, {}, BusFault::kTransceiver, "transceiver fault"},
      {0x001, {}, BusFault::kTransmitTimeout, "transmit timeout"},
      {0x004, {0, 0x01}, BusFault::kOverflow, "receive queue of the controller overflowed"},
  };
  for (const Case& expected : cases) {
    const auto faults = FaultsOf(Error(expected.id, expected.data));
    ASSERT_EQ(faults.size(), 1u) << expected.text;
    EXPECT_EQ(faults[0].fault, expected.fault) << expected.text;
    EXPECT_EQ(faults[0].text, expected.text);
  }
}

TEST(CanErrorsTest, OneMessageMayTellSeveralFaults) {
  // No acknowledge as drivers tell it: protocol error in the acknowledge slot (from memory).
  const auto faults = FaultsOf(Error(0x028, {0, 0, 0, 0x19}));
  ASSERT_EQ(faults.size(), 2u);
  EXPECT_EQ(faults[0].text, "no acknowledge");
  EXPECT_EQ(faults[1].text, "protocol error in the acknowledge field");
  EXPECT_TRUE(FaultsOf(Error(0x040, {})).empty()) << "bus-off is a state";
}

TEST(CanErrorsTest, EventNamesTheChannel) {
  EXPECT_EQ(EventsOf(Error(0x040, {})).at(0).channel, 2);
}

}  // namespace
}  // namespace proofdrive::daemon
