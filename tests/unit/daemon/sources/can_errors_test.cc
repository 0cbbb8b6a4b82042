// Classes and bytes: linux/can/error.h; can_change_state() of drivers/net/can/dev.
#include "daemon/sources/can_errors.h"

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

TEST(CanErrorsTest, EventNamesTheChannel) {
  EXPECT_EQ(EventsOf(Error(0x040, {})).at(0).channel, 2);
}

}  // namespace
}  // namespace proofdrive::daemon
