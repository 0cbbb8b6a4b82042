#include "analysis/statistics/summaries.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

TEST(Median, IsTheMiddleValueWhateverTheOrder) {
  EXPECT_EQ(Median({}), 0);
  EXPECT_EQ(Median({7}), 7);
  EXPECT_EQ(Median({9, 1, 5}), 5);
  EXPECT_EQ(Median({4, 1, 3, 2}), 2.5);
}

// Intervals of the worked example 12j of the project's list of check values (computed there):
// t = 0 10.1 20.0 30.4 40.0 49.9 60.2 70.0 90.1 100.0 ms has median 9.9 and robust sigma 0.297.
TEST(RobustSpread, IgnoresTheOneLostFrame) {
  const std::vector<double> intervals = {10.1, 9.9, 10.4, 9.6, 9.9, 10.3, 9.8, 20.1, 9.9};
  const double median = Median(intervals);
  EXPECT_DOUBLE_EQ(median, 9.9);
  EXPECT_NEAR(RobustSpread(intervals, median), 0.297, 0.0005);
}

TEST(ThinnedValues, KeepsEverythingUpToItsCapacity) {
  ThinnedValues values(4);
  for (const float value : {1.F, 2.F, 3.F, 4.F}) values.Add(value);
  EXPECT_EQ(values.kept(), (std::vector<double>{1, 2, 3, 4}));
}

TEST(ThinnedValues, KeepsEverySecondThenEveryFourth) {
  ThinnedValues values(4);
  for (int i = 0; i < 9; ++i) values.Add(static_cast<float>(i));
  EXPECT_EQ(values.kept(), (std::vector<double>{0, 4, 8}));
  for (int i = 9; i < 16; ++i) values.Add(static_cast<float>(i));
  EXPECT_EQ(values.kept(), (std::vector<double>{0, 4, 8, 12}));
  EXPECT_EQ(values.seen(), 16U);
}

TEST(ThinnedValues, StaysWithinItsCapacityAndEven) {
  ThinnedValues values(100);
  for (int i = 0; i < 123457; ++i) values.Add(static_cast<float>(i));
  const auto kept = values.kept();
  EXPECT_LE(kept.size(), 100U);
  EXPECT_GE(kept.size(), 50U);
  for (std::size_t i = 1; i < kept.size(); ++i) EXPECT_EQ(kept[i] - kept[i - 1], 2048);
}

// Worked examples 12a and 12b of the list of check values (computed there): 0.625 and 0.75. Each
// value is there fifty times, which does not change the distribution: percentiles are made for
// many.
TEST(DistributionDistance, WorkedExamples) {
  const auto of = [](const std::vector<double>& values) {
    std::vector<double> many;
    for (int i = 0; i < 50; ++i) many.insert(many.end(), values.begin(), values.end());
    return Percentiles(many);
  };
  const auto a = of({11.9, 12.4, 12.1, 12.6, 12.3, 12.0, 12.2, 12.5});
  const auto b = of({12.3, 12.9, 12.7, 12.1, 12.8, 13.1, 12.6, 13.0});
  EXPECT_NEAR(DistributionDistance(a, b), 0.625, 0.02);
  EXPECT_NEAR(DistributionDistance(of({1.1, 1.3, 1.5, 1.7}), of({1.6, 1.8, 2.0, 2.2})), 0.75, 0.02);
  EXPECT_EQ(DistributionDistance(a, a), 0);
}

// Ten events on one side and none on the other, equal times: 2 * 0.5^10.
TEST(ChanceOfCounts, IsBinomialGivenTheSum) {
  EXPECT_NEAR(ChanceOfCounts(0, 60, 10, 60), 2 / 1024.0, 1e-12);
  EXPECT_NEAR(ChanceOfCounts(10, 60, 0, 60), 2 / 1024.0, 1e-12);
  EXPECT_EQ(ChanceOfCounts(5, 60, 5, 60), 1);
  EXPECT_EQ(ChanceOfCounts(0, 60, 0, 60), 1);
  EXPECT_EQ(ChanceOfCounts(3, 0, 3, 60), 1);
}

}  // namespace
}  // namespace proofdrive::analysis
