#include "analysis/figures/matched_windows.h"

#include <gtest/gtest.h>

#include <cmath>

namespace proofdrive::analysis {
namespace {

void Add(Windows& windows, std::size_t count, double value, float point) {
  for (std::size_t i = 0; i < count; ++i) {
    windows.values.push_back(value);
    windows.points.push_back({point, 0, 0});
  }
}

TEST(MatchWindows, NearIsNearWhereverItLies) {
  for (const float place : {0.F, 0.45F, 0.5F, 3.49F}) {
    Windows before, after;
    Add(before, 10, 1, place);
    Add(after, 10, 3, place + 0.4F);
    const Matched matched = MatchWindows(before, after);
    EXPECT_DOUBLE_EQ(matched.overlap, 1) << place;
    EXPECT_DOUBLE_EQ(matched.difference, 2) << place;
    EXPECT_DOUBLE_EQ(matched.before.at(0), -1) << place;
    EXPECT_DOUBLE_EQ(matched.after.at(0), 1) << place;
  }
}

// 60, 30, 10 % of the time before and 10, 30, 60 % after: half of it can be compared, and at each
// point the difference is 0.2.
TEST(MatchWindows, OverlapIsTheSumOfTheSmallerShares) {
  Windows before, after;
  const std::size_t counts[] = {60, 30, 10};
  for (std::size_t i = 0; i < 3; ++i) {
    const auto far = static_cast<float>(10 * i);
    Add(before, counts[i], static_cast<double>(i), far);
    Add(after, counts[2 - i], static_cast<double>(i) + 0.2, far);
  }
  const Matched matched = MatchWindows(before, after);
  EXPECT_NEAR(matched.overlap, 0.5, 1e-9);
  EXPECT_NEAR(matched.difference, 0.2, 1e-9);
}

TEST(MatchWindows, WhatIsFarOrUnknownIsNotCompared) {
  Windows before, after;
  Add(before, 10, 1, 0);
  Add(before, 10, 1, std::nanf(""));
  Add(after, 10, 2, 1.1F);
  EXPECT_EQ(MatchWindows(before, after).overlap, 0);
  EXPECT_TRUE(MatchWindows(before, after).before.empty());
  Add(after, 10, 4, std::nanf(""));
  EXPECT_EQ(MatchWindows(before, after).difference, 3);
}

}  // namespace
}  // namespace proofdrive::analysis
