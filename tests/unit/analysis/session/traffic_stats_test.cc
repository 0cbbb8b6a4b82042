#include "analysis/session/traffic_stats.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

using std::chrono::milliseconds;

Frame Make(std::uint8_t channel, std::uint32_t id, std::int64_t ms, std::uint8_t length = 8,
           std::uint8_t flags = 0) {
  Frame frame;
  frame.channel = channel;
  frame.id = id;
  frame.time = WallTime(milliseconds(1'000'000 + ms));
  frame.length = length;
  frame.flags = flags;
  return frame;
}

void AddAll(TrafficStats& stats, const std::vector<Frame>& frames) {
  for (const Frame& frame : frames)
    stats.Add(frame, frame.time - WallTime(milliseconds(1'000'000)));
}

TEST(TrafficStats, CountsPeriodSilenceAndLengthsOfOneIdentifier) {
  TrafficStats stats;
  AddAll(stats, {Make(0, 0x100, 0), Make(0, 0x100, 10), Make(0, 0x100, 20, 4), Make(0, 0x100, 50),
                 Make(0, 0x100, 60)});
  const auto all = stats.Finish();
  ASSERT_EQ(all.size(), 1U);
  EXPECT_EQ(all[0].frames, 5U);
  EXPECT_EQ(all[0].first, milliseconds(0));
  EXPECT_EQ(all[0].last, milliseconds(60));
  EXPECT_NEAR(ToSeconds(all[0].median_period), 0.010, 1e-8);
  EXPECT_EQ(all[0].spread, Duration(0));
  EXPECT_EQ(all[0].longest_silence, milliseconds(30));
  EXPECT_EQ(all[0].lengths, (std::map<std::uint8_t, std::uint64_t>{{4, 1}, {8, 4}}));
}

TEST(TrafficStats, KeepsChannelsAndIdentifierKindsApart) {
  TrafficStats stats;
  AddAll(stats, {Make(0, 0x100, 0), Make(1, 0x100, 1), Make(0, 0x100, 2, 8, kExtendedId),
                 Make(0, 0x100, 3, 0, kRemote)});
  EXPECT_EQ(stats.Finish().size(), 4U);
}

TEST(TrafficStats, FormatAndDirectionFlagsDoNotSplitAnIdentifier) {
  TrafficStats stats;
  AddAll(stats, {Make(0, 0x100, 0), Make(0, 0x100, 1, 8, kFlexibleData | kBitRateSwitch),
                 Make(0, 0x100, 2, 8, kSentHere)});
  EXPECT_EQ(stats.Finish().size(), 1U);
}

TEST(TrafficStats, BackwardStepOfTheClockIsLeftOutOfThePeriods) {
  TrafficStats stats;
  AddAll(stats, {Make(0, 0x100, 5000), Make(0, 0x100, 5010), Make(0, 0x100, 0), Make(0, 0x100, 10),
                 Make(0, 0x100, 20)});
  const auto all = stats.Finish();
  EXPECT_NEAR(ToSeconds(all[0].median_period), 0.010, 1e-8);
  EXPECT_EQ(all[0].longest_silence, milliseconds(10));
}

TEST(TrafficStats, SingleFrameHasNoPeriod) {
  TrafficStats stats;
  AddAll(stats, {Make(0, 0x100, 7)});
  EXPECT_EQ(stats.Finish()[0].median_period, Duration(0));
}

}  // namespace
}  // namespace proofdrive::analysis
