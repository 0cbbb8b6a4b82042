#include "daemon/sources/can/bus_watch.h"

#include <gmock/gmock.h>

#include "tests/support/keeping_log.h"

namespace proofdrive::daemon {
namespace {

using session::EventKind;
using std::chrono::seconds;
using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::IsEmpty;

class BusWatchTest : public ::testing::Test {
 protected:
  BusWatchTest() {
    link_.name = "can0";
    link_.up = true;
    link_.has_controller = true;
    link_.listen_only = true;
    link_.modes = "listen-only";
    link_.bitrate = 500000;
    link_.controller_state = "error active";
    watch_.Opened(link_, 1000, "kernel");
  }

  static Frame Message(std::uint32_t id, std::vector<std::uint8_t> data = {}) {
    Frame frame;
    frame.id = id;
    frame.flags = kErrorMessage;
    frame.length = 8;
    frame.channel = 2;
    std::copy(data.begin(), data.end(), frame.data.begin());
    return frame;
  }
  // "channel state: down", with "x7" for a count.
  std::vector<std::string> Told() {
    std::vector<std::string> told;
    for (const session::Event& event : watch_.TakeEvents()) {
      EXPECT_EQ(event.channel, 2);
      std::string text = std::string(session::EventKindName(event.kind)) + ": " + event.text;
      if (event.count > 0) text += " x" + std::to_string(event.count);
      told.push_back(text);
    }
    return told;
  }

  ManualClock clock_{WallFromNanoseconds(1'700'000'000'000'000'000), SteadyTime(seconds(100))};
  testing::KeepingLog log_;
  Counters counters_;
  LinkInfo link_;
  BusWatch watch_{2, "can0", clock_, log_, counters_};
};

TEST_F(BusWatchTest, NothingToTellWhenNothingHappens) {
  watch_.Look(link_);
  watch_.Tick();
  EXPECT_THAT(Told(), IsEmpty());
  EXPECT_EQ(watch_.condition().receive_buffer, 1000);
  EXPECT_EQ(watch_.condition().timestamps, "kernel");
  EXPECT_TRUE(watch_.TakeChanged());
  EXPECT_FALSE(watch_.TakeChanged());
}

TEST_F(BusWatchTest, ARenamedInterfaceIsFollowed) {
  link_.name = "pack0";
  watch_.Look(link_);
  watch_.Look(link_);
  EXPECT_THAT(Told(), ElementsAre("channel state: renamed to pack0"));
  EXPECT_EQ(watch_.condition().link.name, "pack0");
}

TEST_F(BusWatchTest, AnotherBitRateAndModeAreTold) {
  link_.bitrate = 250000;
  link_.listen_only = false;
  link_.modes = "";
  watch_.Look(link_);
  EXPECT_THAT(Told(), ElementsAre("notice: controller now: 250,000 bit/s, not listen-only: it "
                                  "acknowledges what it hears, error active"));
  EXPECT_THAT(log_.lines(), Contains(::testing::HasSubstr("can0 is not listen-only")));
}

TEST_F(BusWatchTest, AStateThatNoMessageToldIsTakenFromTheDriver) {
  link_.controller_state = "error passive";
  watch_.Look(link_);
  watch_.Look(link_);
  link_.controller_state = "error active";
  watch_.Look(link_);
  EXPECT_THAT(Told(), ElementsAre("channel state: error passive", "channel state: error active"));
}

TEST_F(BusWatchTest, AStateThatAMessageToldIsNotToldAgain) {
  watch_.Hear(Message(0x204, {0, 0x10, 0, 0, 0, 0, 0, 136}));
  watch_.Hear(Message(0x204, {0, 0x10, 0, 0, 0, 0, 0, 137}));
  link_.controller_state = "error passive";
  watch_.Look(link_);
  EXPECT_THAT(Told(), ElementsAre("channel state: error passive", "error counters: tx 0 rx 136"));
  EXPECT_EQ(counters_.Get(Counter::kErrorMessages), 2u);
}

TEST_F(BusWatchTest, BusOffIsForgottenWithTheInterface) {
  watch_.Hear(Message(0x040));
  EXPECT_EQ(watch_.condition().bus_state, "bus-off");
  watch_.SetState("down");
  watch_.SetState("up");
  EXPECT_EQ(watch_.condition().bus_state, "");
  watch_.Hear(Message(0x040));
  EXPECT_THAT(Told(), ElementsAre("channel state: bus-off", "channel state: down",
                                  "channel state: up", "channel state: bus-off"));
}

TEST_F(BusWatchTest, RepeatedFaultsAreToldAtOnceAndThenAsASum) {
  for (int i = 0; i < 1000; ++i) watch_.Hear(Message(0x020));
  watch_.Tick();
  EXPECT_THAT(Told(), ElementsAre("notice: no acknowledge x1"));
  clock_.Advance(BusWatch::kRepeatTime);
  watch_.Tick();
  watch_.Tick();
  EXPECT_THAT(Told(), ElementsAre("notice: no acknowledge x999"));
  EXPECT_EQ(watch_.condition().faults[static_cast<std::size_t>(BusFault::kNoAcknowledge)], 1000u);
  EXPECT_THAT(log_.lines(), ElementsAre("can0: no acknowledge"));
}

TEST_F(BusWatchTest, AtTheEndNothingIsHeldBack) {
  for (int i = 0; i < 5; ++i) watch_.Hear(Message(0x002, {7}));
  watch_.Flush();
  watch_.Flush();
  EXPECT_THAT(Told(), ElementsAre("notice: lost arbitration at bit 7 x1",
                                  "notice: lost arbitration at bit 7 x4"));
}

TEST_F(BusWatchTest, FramesTheControllerLostAreDrops) {
  watch_.Hear(Message(0x004, {0, 0x01}));
  EXPECT_THAT(Told(), ElementsAre("drops: in the controller, at least x1"));
  EXPECT_EQ(counters_.Get(Counter::kControllerDrops), 1u);
  EXPECT_EQ(watch_.condition().overruns, 1u);
  EXPECT_EQ(watch_.condition().bus_state, "error active") << "an overflow is no state";
}

TEST_F(BusWatchTest, CountersOfTheDriverAreStoredWhenTheyChange) {
  link_.has_error_counters = true;
  link_.receive_errors = 12;
  link_.counts.bus_errors = 41;
  watch_.Look(link_);
  EXPECT_THAT(Told(),
              ElementsAre("error counters: tx 0 rx 12; counted by the driver: bus errors 41, error "
                          "warning 0, error passive 0, bus-off 0, lost arbitration 0, restarts 0, "
                          "overruns 0"));
  for (int i = 0; i < 5; ++i) {
    ++link_.counts.bus_errors;
    watch_.Look(link_);
  }
  EXPECT_THAT(Told(), IsEmpty()) << "not more often than every ten seconds";
  clock_.Advance(BusWatch::kRepeatTime);
  watch_.Tick();
  EXPECT_THAT(Told(), ElementsAre(::testing::HasSubstr("bus errors 46")));
}

}  // namespace
}  // namespace proofdrive::daemon
