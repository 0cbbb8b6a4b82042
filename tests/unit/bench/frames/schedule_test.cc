#include "bench/frames/schedule.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "tests/unit/bench/recording.h"

namespace proofdrive::bench {
namespace {

constexpr double kBitRate = 500e3;

Frame FrameOf(std::uint32_t id, bool extended) {
  Frame frame;
  frame.id = id;
  frame.flags = extended ? std::uint8_t{kExtendedId} : std::uint8_t{0};
  frame.length = 8;
  return frame;
}

class ScheduleTest : public ::testing::TestWithParam<std::string> {};
INSTANTIATE_TEST_SUITE_P(Scenarios, ScheduleTest, ::testing::ValuesIn(ScenarioNames()),
                         [](const auto& tested) {
                           std::string name = tested.param;
                           std::replace(name.begin(), name.end(), '-', '_');
                           return name;
                         });

TEST_P(ScheduleTest, FramesOfOneBusNeverOverlap) {
  WallTime free_at[2] = {kStart, kStart};
  for (const Frame& frame : Recorded(GetParam()).frames) {
    const Duration on_wire = FromSeconds(WireBits(frame).most / kBitRate);
    ASSERT_GE(frame.time - on_wire, free_at[frame.channel])
        << FormatId(frame.id, frame.flags) << " at " << SecondsIn(frame);
    free_at[frame.channel] = frame.time;
  }
}

TEST_P(ScheduleTest, BusLoadStaysBelow60Percent) {
  const Recording& recording = Recorded(GetParam());
  double bits[2] = {0, 0};
  for (const Frame& frame : recording.frames) bits[frame.channel] += WireBits(frame).most;
  for (const double sum : bits) {
    EXPECT_LT(sum / kBitRate / ToSeconds(recording.duration), 0.60);
    EXPECT_GT(sum, 0);
  }
}

TEST_P(ScheduleTest, SendsAFewHundredFramesASecond) {
  const Recording& recording = Recorded(GetParam());
  const double rate = static_cast<double>(recording.frames.size()) / ToSeconds(recording.duration);
  EXPECT_GT(rate, 600);
  EXPECT_LT(rate, 900);
}

TEST(SchedulePeriodTest, FramesKeepTheirPeriodWithinJitterAndArbitration) {
  const Recording& recording = Recorded("repaired");
  for (const FrameRow& row : FrameTable()) {
    if (row.unit == "moisture_sensor") continue;  // silent in this scenario
    double last = -1;
    std::size_t count = 0;
    for (const Frame& frame : recording.frames) {
      if (frame.id != row.id || frame.channel != row.bus) continue;
      const double now = SecondsIn(frame);
      // 130 us of jitter and a few frames of up to 0.32 ms that may go first.
      if (last >= 0) {
        EXPECT_NEAR(now - last, row.period_ms / 1000.0, 0.0030) << row.name;
      }
      last = now;
      ++count;
    }
    EXPECT_NEAR(static_cast<double>(count), 180e3 / row.period_ms, 1.01) << row.name;
  }
}

TEST(BusLineTest, LowestIdentifierOfThoseWaitingGoesFirst) {
  // ISO 11898-1: bitwise arbitration; a base frame wins over an extended one with the same first
  // 11 bits.
  BusLine line;
  const Duration us = std::chrono::microseconds(1);
  line.Queue(0 * us, FrameOf(0x700, false));  // has the bus first
  line.Queue(10 * us, FrameOf(0x300, false));
  line.Queue(20 * us, FrameOf(0x100 << 18, true));
  line.Queue(30 * us, FrameOf(0x100, false));
  std::vector<Frame> sent;
  line.Send(std::chrono::seconds(1), kStart, sent);
  ASSERT_EQ(sent.size(), 4u);
  EXPECT_EQ(sent[0].id, 0x700u);
  EXPECT_EQ(sent[1].id, 0x100u);
  EXPECT_EQ(sent[2].id, 0x100u << 18);
  EXPECT_EQ(sent[3].id, 0x300u);
}

TEST(BusLineTest, NothingBeginsAtOrAfterTheLimit) {
  BusLine line;
  line.Queue(std::chrono::microseconds(100), FrameOf(0x100, false));
  std::vector<Frame> sent;
  line.Send(std::chrono::microseconds(100), kStart, sent);
  EXPECT_TRUE(sent.empty());
  line.Send(std::chrono::microseconds(101), kStart, sent);
  EXPECT_EQ(sent.size(), 1u);
}

}  // namespace
}  // namespace proofdrive::bench
