#include "daemon/live/diagnosis.h"

#include <gmock/gmock.h>

#include <functional>

#include "daemon/sources/can/can_interface.h"

namespace proofdrive::daemon {
namespace {

using std::chrono::seconds;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

// A daemon that has been listening to a healthy bus for a minute.
Snapshot Healthy() {
  Snapshot snapshot;
  snapshot.started = SteadyTime(seconds(100));
  snapshot.now = SteadyTime(seconds(160));
  snapshot.free_bytes = std::uint64_t{10} << 30;
  snapshot.definitions = std::make_shared<decoders::Definitions>();
  ChannelTraffic traffic;
  traffic.channel.number = 3;
  traffic.channel.name = "can0";
  traffic.channel.bus = "pack";
  traffic.frames = 60'000;
  traffic.described = 20'000;
  traffic.last_frame = snapshot.now;
  traffic.condition.emplace();
  traffic.condition->bus_state = "error active";
  traffic.condition->receive_buffer = kReceiveBufferNeeded;
  traffic.condition->timestamps = "kernel";
  traffic.condition->link.name = "can0";
  traffic.condition->link.up = true;
  traffic.condition->link.has_controller = true;
  traffic.condition->link.listen_only = true;
  traffic.condition->link.bitrate = 500'000;
  snapshot.channels = {traffic};
  return snapshot;
}

TEST(DiagnosisTest, NothingIsWrong) { EXPECT_THAT(Diagnose(Healthy()), IsEmpty()); }

// One thing that is wrong, and what is said.
struct Case {
  const char* name;
  std::function<void(Snapshot&, ChannelTraffic&, ChannelCondition&)> break_it;
  Urgency urgency;
  std::string what;
  std::string remedy_part;
};

std::uint64_t& Fault(ChannelCondition& condition, BusFault fault) {
  return condition.faults[static_cast<std::size_t>(fault)];
}

const Case kCases[] = {
    {"gone", [](Snapshot&, ChannelTraffic&, ChannelCondition& c) { c.state = "gone"; },
     Urgency::kTrouble, "there is no interface can0", "Plug the adapter in"},
    {"down", [](Snapshot&, ChannelTraffic&, ChannelCondition& c) { c.state = "down"; },
     Urgency::kTrouble, "can0 is down", "Bring it up with: ip link set can0 up"},
    {"down without bit rate",
     [](Snapshot&, ChannelTraffic&, ChannelCondition& c) {
       c.state = "down";
       c.link.bitrate = 0;
     },
     Urgency::kTrouble, "can0 is down", "type can bitrate RATE listen-only on (RATE of the bus)"},
    {"renamed and down",
     [](Snapshot&, ChannelTraffic&, ChannelCondition& c) {
       c.state = "down";
       c.link.name = "pack0";
     },
     Urgency::kTrouble, "pack0 is down", "ip link set pack0 up"},
    {"other trouble",
     [](Snapshot&, ChannelTraffic&, ChannelCondition& c) { c.state = "receive frames: odd"; },
     Urgency::kTrouble, "can0 delivers nothing: receive frames: odd", "dmesg"},
    {"never heard",
     [](Snapshot&, ChannelTraffic& t, ChannelCondition&) {
       t.frames = t.described = 0;
       t.last_frame.reset();
     },
     Urgency::kTrouble, "nothing has been heard on can0 for 60 s", "Ignition on?"},
    {"silent now",
     [](Snapshot& s, ChannelTraffic& t, ChannelCondition&) { t.last_frame = s.now - seconds(7); },
     Urgency::kTrouble, "nothing has been heard on can0 for 7 s", "Right bit rate?"},
    {"wrong bit rate",
     [](Snapshot& s, ChannelTraffic& t, ChannelCondition& c) {
       t.last_frame = s.now - seconds(7);
       c.link.counts.bus_errors = 41;
     },
     Urgency::kTrouble,
     "can0 hears errors instead of frames: the bit rate 500,000 is probably not that of the bus",
     "type can bitrate RATE listen-only on"},
    {"disturbed",
     [](Snapshot&, ChannelTraffic&, ChannelCondition& c) { Fault(c, BusFault::kProtocol) = 5; },
     Urgency::kTrouble, "the bus of can0 is disturbed: frames come, and errors too", "60 ohm"},
    {"error passive",
     [](Snapshot&, ChannelTraffic&, ChannelCondition& c) { c.bus_state = "error passive"; },
     Urgency::kTrouble, "the bus of can0 is disturbed: frames come, and errors too", "60 ohm"},
    {"bus-off", [](Snapshot&, ChannelTraffic&, ChannelCondition& c) { c.bus_state = "bus-off"; },
     Urgency::kTrouble, "can0 is bus-off: its controller gave up after too many errors",
     "ip link set can0 type can restart"},
    {"wires",
     [](Snapshot&, ChannelTraffic&, ChannelCondition& c) { Fault(c, BusFault::kTransceiver) = 1; },
     Urgency::kTrouble, "can0: the adapter reports a fault of the wires", "60 ohm"},
    {"no acknowledge",
     [](Snapshot&, ChannelTraffic&, ChannelCondition& c) {
       Fault(c, BusFault::kNoAcknowledge) = 12;
     },
     Urgency::kTrouble, "nobody acknowledged 12 times what this machine sent on can0",
     "another program"},
    {"not listen-only",
     [](Snapshot&, ChannelTraffic&, ChannelCondition& c) { c.link.listen_only = false; },
     Urgency::kAdvice,
     "can0 is not listen-only: it acknowledges what it hears, although nothing is sent",
     "ip link set can0 type can listen-only on"},
    {"small buffer",
     [](Snapshot&, ChannelTraffic&, ChannelCondition& c) { c.receive_buffer = 425'984; },
     Urgency::kAdvice, "the receive buffer of can0 holds only about 554 frames",
     "sysctl -w net.core.rmem_max=8170752"},
    {"overrun", [](Snapshot&, ChannelTraffic&, ChannelCondition& c) { c.overruns = 2; },
     Urgency::kLoss, "the controller of can0 lost frames: 2 times at least", "longer queue"},
    {"undescribed", [](Snapshot&, ChannelTraffic& t, ChannelCondition&) { t.described = 0; },
     Urgency::kTrouble, "the definition files describe none of the 60,000 frames heard on can0",
     "Is bus \"pack\" right"},
    {"no definitions",
     [](Snapshot& s, ChannelTraffic&, ChannelCondition&) { s.definitions = nullptr; },
     Urgency::kAdvice, "no definition file is loaded: frames are recorded, nothing is decoded",
     "--definitions"},
    {"little space",
     [](Snapshot& s, ChannelTraffic&, ChannelCondition&) { s.free_bytes = 100 << 20; },
     Urgency::kTrouble, "only 100 MiB are left for sessions", "Move old sessions"},
    {"kernel drops",
     [](Snapshot& s, ChannelTraffic&, ChannelCondition&) {
       s.counts[static_cast<std::size_t>(Counter::kKernelDrops)] = 17;
     },
     Urgency::kLoss, "17 frames lost in the kernel since the daemon started", "rmem_max"},
    {"queue drops",
     [](Snapshot& s, ChannelTraffic&, ChannelCondition&) {
       s.counts[static_cast<std::size_t>(Counter::kQueueDrops)] = 1'700;
     },
     Urgency::kLoss, "1,700 frames lost before recording since the daemon started", "faster disk"},
    {"full disk",
     [](Snapshot& s, ChannelTraffic&, ChannelCondition&) {
       s.recording.emplace();
       s.recording->paused = "the disk of out is almost full";
     },
     Urgency::kLoss, "recording is paused and frames are lost: the disk of out is almost full",
     "when 32 MiB are free"},
    {"lost on a full disk",
     [](Snapshot& s, ChannelTraffic&, ChannelCondition&) {
       s.counts[static_cast<std::size_t>(Counter::kFullDiskDrops)] = 40;
     },
     Urgency::kLoss, "40 frames lost while the disk was full since the daemon started", "--budget"},
    {"ended early",
     [](Snapshot& s, ChannelTraffic&, ChannelCondition&) {
       s.last_recording.emplace();
       s.last_recording->name = "x";
       s.last_recording->problem = "the disk of out is almost full";
     },
     Urgency::kLoss, "the last recording, x, ended early: the disk of out is almost full",
     "record start"},
    {"file lost",
     [](Snapshot& s, ChannelTraffic&, ChannelCondition&) {
       s.recording.emplace();
       s.recording->trouble = "x.session was removed. Recording went on in x-2.session";
     },
     Urgency::kLoss,
     "recording goes on, but a file of it was lost: x.session was removed. Recording went on in "
     "x-2.session",
     "left alone"},
    {"should record",
     [](Snapshot& s, ChannelTraffic&, ChannelCondition&) {
       s.not_recording = "the disk of out is almost full";
     },
     Urgency::kLoss, "nothing is recorded although it should be: the disk of out is almost full",
     "every 10 s"},
};

TEST(DiagnosisTest, EachProblemAloneInWordsWithItsRemedy) {
  for (const Case& item : kCases) {
    Snapshot snapshot = Healthy();
    ChannelTraffic& traffic = snapshot.channels[0];
    item.break_it(snapshot, traffic, *traffic.condition);
    const auto problems = Diagnose(snapshot);
    ASSERT_EQ(problems.size(), 1u) << item.name;
    EXPECT_EQ(problems[0].urgency, item.urgency) << item.name;
    EXPECT_EQ(problems[0].what, item.what) << item.name;
    EXPECT_THAT(problems[0].remedy, HasSubstr(item.remedy_part)) << item.name;
  }
}

TEST(DiagnosisTest, ProblemsOfAChannelNameIt) {
  Snapshot snapshot = Healthy();
  snapshot.channels[0].condition->state = "gone";
  snapshot.free_bytes = 0;
  const auto problems = Diagnose(snapshot);
  ASSERT_EQ(problems.size(), 2u);
  EXPECT_EQ(problems[0].channel, std::nullopt);
  EXPECT_EQ(problems[1].channel, 3);
}

TEST(DiagnosisTest, TheMostUrgentComesFirst) {
  Snapshot snapshot = Healthy();
  ChannelCondition& condition = *snapshot.channels[0].condition;
  condition.link.listen_only = false;
  condition.bus_state = "error passive";
  condition.overruns = 1;
  std::vector<std::string> urgencies;
  for (const Problem& problem : Diagnose(snapshot)) {
    urgencies.emplace_back(UrgencyName(problem.urgency));
  }
  EXPECT_THAT(urgencies, ElementsAre("loss", "trouble", "advice"));
}

TEST(DiagnosisTest, AFewSecondsOfSilenceAreNoProblem) {
  Snapshot snapshot = Healthy();
  snapshot.channels[0].last_frame = snapshot.now - seconds(4);
  EXPECT_THAT(Diagnose(snapshot), IsEmpty());
  snapshot.now = snapshot.started + seconds(4);
  snapshot.channels[0].last_frame.reset();
  EXPECT_THAT(Diagnose(snapshot), IsEmpty());
}

TEST(DiagnosisTest, SimulatedAndReplayedChannelsHaveNoAdapter) {
  Snapshot snapshot = Healthy();
  snapshot.channels[0].condition.reset();
  snapshot.channels[0].last_frame.reset();
  EXPECT_THAT(Diagnose(snapshot), IsEmpty());
}

}  // namespace
}  // namespace proofdrive::daemon
