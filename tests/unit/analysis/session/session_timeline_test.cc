#include "analysis/session/session_timeline.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

using std::chrono::milliseconds;

Frame At(std::uint8_t channel, std::int64_t ms) {
  Frame frame;
  frame.channel = channel;
  frame.time = WallTime(milliseconds(1'700'000'000'000 + ms));
  return frame;
}

TEST(SessionTimeline, StartsAtZeroAndFollowsTheClock) {
  SessionTimeline timeline;
  EXPECT_EQ(timeline.Place(At(0, 0)), milliseconds(0));
  EXPECT_EQ(timeline.Place(At(0, 250)), milliseconds(250));
  EXPECT_EQ(timeline.start(), WallTime(milliseconds(1'700'000'000'000)));
  EXPECT_TRUE(timeline.steps().empty());
}

TEST(SessionTimeline, LateFrameOfAnotherChannelCountsAsComingNow) {
  SessionTimeline timeline;
  timeline.Place(At(0, 0));
  timeline.Place(At(0, 100));
  EXPECT_EQ(timeline.Place(At(1, 65)), milliseconds(100));
  EXPECT_EQ(timeline.Place(At(1, 110)), milliseconds(110));
  EXPECT_TRUE(timeline.steps().empty());
}

TEST(SessionTimeline, BackwardStepTakesNoTimeAndTheClockGoesOnFromThere) {
  SessionTimeline timeline;
  timeline.Place(At(0, 0));
  timeline.Place(At(0, 10'000));
  EXPECT_EQ(timeline.Place(At(0, 4'000)), milliseconds(10'000));
  EXPECT_EQ(timeline.Place(At(0, 4'500)), milliseconds(10'500));
  ASSERT_EQ(timeline.steps().size(), 1U);
  EXPECT_EQ(timeline.steps()[0].step, milliseconds(-6'000));
  EXPECT_EQ(timeline.steps()[0].at, milliseconds(10'000));
}

TEST(SessionTimeline, EveryChannelThatStepsIsShiftedOnItsOwn) {
  SessionTimeline timeline;
  timeline.Place(At(0, 0));
  timeline.Place(At(1, 5));
  timeline.Place(At(0, 10'000));
  timeline.Place(At(1, 10'005));
  timeline.Place(At(0, 1'010));
  EXPECT_EQ(timeline.Place(At(1, 1'015)), milliseconds(10'005));
  EXPECT_EQ(timeline.Place(At(0, 2'010)), milliseconds(11'000));
  EXPECT_EQ(timeline.Place(At(1, 2'015)), milliseconds(11'005));
  EXPECT_EQ(timeline.steps().size(), 2U);
}

TEST(SessionTimeline, ChannelThatStartsAfterAStepSharesItsShift) {
  SessionTimeline timeline;
  timeline.Place(At(0, 0));
  timeline.Place(At(0, 10'000));
  timeline.Place(At(0, 1'000));
  EXPECT_EQ(timeline.Place(At(1, 1'300)), milliseconds(10'300));
}

TEST(SessionTimeline, JitterOfTimestampsIsNoStep) {
  SessionTimeline timeline;
  timeline.Place(At(0, 0));
  timeline.Place(At(0, 100));
  EXPECT_EQ(timeline.Place(At(0, 96)), milliseconds(100));
  EXPECT_EQ(timeline.Place(At(0, 104)), milliseconds(104));
  EXPECT_TRUE(timeline.steps().empty());
}

TEST(SessionTimeline, ForwardStepIsSilence) {
  SessionTimeline timeline;
  timeline.Place(At(0, 0));
  EXPECT_EQ(timeline.Place(At(0, 3'600'000)), std::chrono::hours(1));
  EXPECT_TRUE(timeline.steps().empty());
}

}  // namespace
}  // namespace proofdrive::analysis
