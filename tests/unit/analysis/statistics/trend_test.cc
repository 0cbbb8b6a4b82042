// Worked examples: computed outside the project with scipy 1.10.1 (theilslopes, kendalltau).
#include "analysis/statistics/trend.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace proofdrive::analysis {
namespace {

const std::vector<double> kDays = {0, 1, 2, 3, 5, 6, 8, 10};

std::vector<double> Log10(std::vector<double> values) {
  for (double& value : values) value = std::log10(value);
  return values;
}

TEST(Trend, DryingPack) {
  const auto y = Log10({310, 355, 340, 420, 515, 560, 700, 905});
  const RobustLine line = TheilSen(kDays, y);
  EXPECT_NEAR(line.slope, 0.0444000, 5e-8);
  EXPECT_NEAR(line.intercept, 2.489974, 5e-7);
  EXPECT_NEAR(std::pow(10, line.slope), 1.1076, 5e-5);
  EXPECT_NEAR(std::log10(2) / line.slope, 6.78, 5e-3);
  const TrendTest test = MannKendall(y);
  EXPECT_EQ(test.score, 26);
  EXPECT_NEAR(test.variance, 65.3333, 5e-5);
  EXPECT_NEAR(test.z, 3.0929, 5e-5);
  EXPECT_NEAR(test.p_normal, 0.00198, 5e-6);
  ASSERT_TRUE(test.exact);
  EXPECT_NEAR(test.p, 0.00040, 5e-6);
}

TEST(Trend, PackGettingWorse) {
  const auto y = Log10({905, 860, 880, 640, 430, 450, 260, 190});
  const RobustLine line = TheilSen(kDays, y);
  EXPECT_NEAR(line.slope, -0.0718803, 5e-8);
  EXPECT_NEAR(std::pow(10, line.slope), 0.8475, 5e-5);
  EXPECT_NEAR(line.intercept, 3.001967, 5e-7);
  EXPECT_NEAR(line.slope_low, -0.08636, 5e-6);
  EXPECT_NEAR(line.slope_high, -0.05057, 5e-6);
  const auto reaches = [&](double kohm, double slope) {
    return (std::log10(kohm) - line.intercept) / slope;
  };
  EXPECT_NEAR(reaches(225, line.slope), 9.04, 5e-3);
  EXPECT_NEAR(reaches(45, line.slope), 18.8, 5e-2);
  EXPECT_NEAR(reaches(225, line.slope_low), 7.5, 5e-2);
  EXPECT_NEAR(reaches(225, line.slope_high), 12.8, 5.1e-2);
  const TrendTest test = MannKendall(y);
  EXPECT_EQ(test.score, -24);
  EXPECT_NEAR(test.z, -2.8455, 5e-5);
  EXPECT_NEAR(test.p_normal, 0.00443, 5e-6);
  EXPECT_NEAR(test.p, 0.00174, 5e-6);
}

TEST(Trend, TiesUseTheCorrectedVariance) {
  // n = 5, one tie of two: (5*4*15 - 2*1*9) / 18 = 15.6667, computed by hand.
  const std::vector<double> y = {1, 2, 2, 3, 4};
  const TrendTest test = MannKendall(y);
  EXPECT_EQ(test.score, 9);
  EXPECT_NEAR(test.variance, 15.6667, 5e-5);
  EXPECT_FALSE(test.exact);
}

TEST(Trend, NothingToCompare) {
  EXPECT_EQ(TheilSen({}, {}).slope, 0);
  const std::vector<double> one = {1};
  EXPECT_EQ(MannKendall(one).p, 1);
  const std::vector<double> flat = {2, 2, 2};
  EXPECT_EQ(MannKendall(flat).score, 0);
  EXPECT_EQ(MannKendall(flat).p, 1);
}

}  // namespace
}  // namespace proofdrive::analysis
