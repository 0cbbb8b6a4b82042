#include "analysis/checking/track.h"

#include <gmock/gmock.h>

namespace proofdrive::analysis {
namespace {

using ::testing::ElementsAre;

Track Of(std::initializer_list<std::pair<double, double>> samples) {
  Track track;
  for (const auto& [at, value] : samples) track.Add(at, value);
  return track;
}

std::vector<std::pair<double, double>> Pairs(const Intervals& intervals) {
  std::vector<std::pair<double, double>> pairs;
  for (const Interval& one : intervals) pairs.emplace_back(one.from_s, one.to_s);
  return pairs;
}

using Pair = std::pair<double, double>;

TEST(Track, ValueHoldsUntilTheNextButNotForever) {
  const Track track = Of({{1, 10}, {2, 20}});
  EXPECT_FALSE(ValueAt(track, 0.5, 1));
  EXPECT_EQ(ValueAt(track, 1.9, 1), 10);
  EXPECT_EQ(ValueAt(track, 2, 1), 20);
  EXPECT_FALSE(ValueAt(track, 3.5, 1));
}

TEST(Track, WhereAConditionHolds) {
  const Track track = Of({{0, 0}, {1, 1}, {2, 1}, {3, 0}, {4, 1}, {9, 1}, {10, 1}});
  const auto high = Where(track, 2, [](double value) { return value > 0; });
  // From 4 on only until the silence, then again from 9.
  EXPECT_THAT(Pairs(high), ElementsAre(Pair(1, 3), Pair(4, 4), Pair(9, 10)));
  EXPECT_THAT(Pairs(Outside(high, 12)),
              ElementsAre(Pair(0, 1), Pair(3, 4), Pair(4, 9), Pair(10, 12)));
}

TEST(Track, IntervalsTogether) {
  const Intervals a = {{0, 5}, {10, 20}};
  const Intervals b = {{1, 2}, {3, 12}, {18, 30}};
  EXPECT_THAT(Pairs(Both(a, b)), ElementsAre(Pair(1, 2), Pair(3, 5), Pair(10, 12), Pair(18, 20)));
  EXPECT_THAT(Pairs(WithoutHead(a, 6)), ElementsAre(Pair(16, 20)));
  EXPECT_THAT(Pairs(AtLeast(a, 6)), ElementsAre(Pair(10, 20)));
  EXPECT_EQ(TotalLength(a), 15);
  EXPECT_TRUE(Contains(a, 5));
  EXPECT_FALSE(Contains(a, 6));
}

TEST(Track, SteadyStretches) {
  Track track;
  for (int i = 0; i < 10; ++i) track.Add(i, 100);
  for (int i = 10; i < 15; ++i) track.Add(i, 150);
  const auto steady = Steady(track, 5, [](double mean) { return 0.03 * mean; });
  EXPECT_THAT(Pairs(steady), ElementsAre(Pair(0, 9)));
  EXPECT_TRUE(Steady({}, 5, [](double) { return 1; }).empty());
}

TEST(Track, Selections) {
  Track track;
  for (int i = 0; i < 100; ++i) track.Add(i, i);
  EXPECT_EQ(Thinned(track, 10).size(), 10U);
  EXPECT_EQ(BinMedians(track, 4).size(), 4U);
  EXPECT_NEAR(BinMedians(track, 4).value[0], 12, 0.5);
  EXPECT_EQ(Between(track, 10, 12).size(), 3U);
  EXPECT_EQ(Period(track), 1);
  EXPECT_THAT(Changes(Of({{0, 1}, {1, 1}, {2, 3}})), ElementsAre(2));
}

}  // namespace
}  // namespace proofdrive::analysis
