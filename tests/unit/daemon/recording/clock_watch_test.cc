#include "daemon/recording/clock_watch.h"

#include <gtest/gtest.h>

namespace proofdrive::daemon {
namespace {

using std::chrono::hours;
using std::chrono::milliseconds;
using std::chrono::seconds;

TEST(ClockWatchTest, SaysNothingWhileBothClocksRun) {
  ManualClock clock(WallFromNanoseconds(1'000'000'000));
  ClockWatch watch(clock.Now());
  for (int i = 0; i < 100; ++i) {
    clock.Advance(seconds(1));
    clock.StepWall(Duration(500'000));  // slewed by 500 ppm
    EXPECT_FALSE(watch.Check(clock.Now())) << i;
  }
}

TEST(ClockWatchTest, TellsAStepOnceWithItsSign) {
  ManualClock clock(WallFromNanoseconds(1'000'000'000));
  ClockWatch watch(clock.Now());
  clock.Advance(seconds(1));
  clock.StepWall(-hours(2));
  EXPECT_EQ(watch.Check(clock.Now()), Duration(-hours(2)));
  clock.Advance(seconds(1));
  EXPECT_FALSE(watch.Check(clock.Now()));
  clock.StepWall(milliseconds(60));
  EXPECT_EQ(watch.Check(clock.Now()), Duration(milliseconds(60)));
}

}  // namespace
}  // namespace proofdrive::daemon
