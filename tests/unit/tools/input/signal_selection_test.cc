#include "tools/input/signal_selection.h"

#include <gtest/gtest.h>

#include "tests/support/matchers.h"

namespace proofdrive::tools {
namespace {

using proofdrive::testing::IsError;
using std::chrono::milliseconds;
using std::chrono::seconds;

TimeBound Bound(const std::string& text) { return *TimeBound::Parse("--from", text); }

TEST(TimeBound, SmallNumbersAreSecondsSinceTheStart) {
  const TimeBound bound = Bound("12.5");
  EXPECT_LT(bound.Compare(WallTime(), milliseconds(12'499)), 0);
  EXPECT_EQ(bound.Compare(WallTime(), milliseconds(12'500)), 0);
  EXPECT_GT(bound.Compare(WallTime(), milliseconds(12'501)), 0);
}

TEST(TimeBound, ReadsLengthsAsTheyArePrinted) {
  EXPECT_EQ(Bound("4min8s").Compare(WallTime(), seconds(248)), 0);
  EXPECT_EQ(Bound("4 min 08 s").Compare(WallTime(), seconds(248)), 0);
  EXPECT_EQ(Bound("1.5 s").Compare(WallTime(), milliseconds(1'500)), 0);
}

TEST(TimeBound, LargeNumbersAreSecondsSince1970) {
  const TimeBound bound = Bound("1700000000.25");
  EXPECT_EQ(bound.Compare(WallTime(milliseconds(1'700'000'000'250)), Duration(0)), 0);
  EXPECT_LT(bound.Compare(WallTime(milliseconds(1'700'000'000'249)), seconds(1)), 0);
}

TEST(TimeBound, ReadsIso8601) {
  const TimeBound bound = Bound("2023-11-14T22:13:20Z");
  EXPECT_EQ(bound.Compare(WallTime(seconds(1'700'000'000)), Duration(0)), 0);
}

TEST(TimeBound, RefusesWhatIsNoTime) {
  for (const char* text : {"", "-5", "yesterday", "nan", "1e400", "2023-13-45T00:00:00Z"}) {
    EXPECT_THAT(TimeBound::Parse("--to", text),
                IsError(ErrorKind::kInvalidArgument,
                        std::string("--to ") + text +
                            " is not a time: write the time since the start (12.5, 4min8s), "
                            "seconds since 1970, or 2026-03-01T12:00:00Z"))
        << text;
  }
}

}  // namespace
}  // namespace proofdrive::tools
