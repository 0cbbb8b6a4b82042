#include "session/chunk/times.h"

#include <gtest/gtest.h>

#include <limits>

namespace proofdrive::session {
namespace {

using Times = std::vector<std::int64_t>;

Times RoundTrip(const Times& times, TimePattern* pattern_out = nullptr) {
  std::vector<std::uint64_t> residuals;
  const TimePattern pattern = FitTimes(times, residuals);
  EXPECT_EQ(residuals.size(), ResidualCount(pattern.coding, times.size()));
  for (const std::uint64_t residual : residuals) {
    if (pattern.planes < 8) {
      EXPECT_EQ(residual >> (8 * pattern.planes), 0U);
    }
  }
  Times back(times.size());
  RebuildTimes(pattern, residuals, back);
  if (pattern_out != nullptr) *pattern_out = pattern;
  return back;
}

TEST(Times, ExactPeriodNeedsNoResiduals) {
  TimePattern pattern;
  const Times times = {1000, 1010, 1020, 1030};
  EXPECT_EQ(RoundTrip(times, &pattern), times);
  EXPECT_EQ(pattern.coding, TimeCoding::kSteps);
  EXPECT_EQ(pattern.planes, 0U);
}

TEST(Times, JitterAroundAPeriodIsStoredAgainstAGrid) {
  Times times;
  for (int i = 0; i < 500; ++i) times.push_back(i * 10000 + (i * i * 31) % 90);
  TimePattern pattern;
  EXPECT_EQ(RoundTrip(times, &pattern), times);
  EXPECT_EQ(pattern.coding, TimeCoding::kGrid);
  EXPECT_EQ(pattern.planes, 1U);
}

TEST(Times, StandStillStepBackAndJumpAreExact) {
  const Times times = {5, 5, 5, -3, -3, 1'000'000'000'000, 7, 7};
  EXPECT_EQ(RoundTrip(times), times);
}

TEST(Times, TheLargestNumbersWrapWithoutHarm) {
  constexpr std::int64_t kMin = std::numeric_limits<std::int64_t>::min();
  constexpr std::int64_t kMax = std::numeric_limits<std::int64_t>::max();
  const Times times = {kMin, kMax, 0, kMax, kMin, -1};
  EXPECT_EQ(RoundTrip(times), times);
}

TEST(Times, OneFrame) { EXPECT_EQ(RoundTrip({42}), Times{42}); }

}  // namespace
}  // namespace proofdrive::session
