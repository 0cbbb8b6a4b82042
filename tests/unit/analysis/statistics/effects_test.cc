// Worked values; those of p, t and intervals were computed with scipy 1.x (general library), the
// exact ones by hand. See each test.
#include "analysis/statistics/effects.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

const std::vector<double> kA = {11.9, 12.4, 12.1, 12.6, 12.3, 12.0, 12.2, 12.5};
const std::vector<double> kB = {12.3, 12.9, 12.7, 12.1, 12.8, 13.1, 12.6, 13.0};

TEST(Effects, MannWhitneyAndCliff) {
  EXPECT_NEAR(CliffsDelta(kA, kB), 0.703125, 1e-12);
  EXPECT_NEAR(CliffsDelta(kB, kA), -0.703125, 1e-12);
  EXPECT_STREQ(EffectName(0.703125), "large");
  EXPECT_NEAR(MannWhitneyP(kA, kB), 0.020581, 1e-6);
  EXPECT_NEAR(HodgesLehmannShift(kA, kB), 0.5, 1e-12);
}

// A large effect, yet four values a side cannot reach 5 %.
TEST(Effects, FewValuesShowEffectNotCertainty) {
  const std::vector<double> a = {1.1, 1.3, 1.5, 1.7}, b = {1.6, 1.8, 2.0, 2.2};
  EXPECT_NEAR(CliffsDelta(a, b), 0.875, 1e-12);
  EXPECT_GT(MannWhitneyP(a, b), 0.05);
}

TEST(Effects, EquivalenceDependsOnTheMargin) {
  const Equivalence half = TestEquivalence(kA, kB, 0.5);
  EXPECT_NEAR(half.difference, 0.4375, 1e-9);
  EXPECT_NEAR(half.error, 0.149329, 1e-6);
  EXPECT_NEAR(half.freedom, 12.6452, 1e-4);
  EXPECT_NEAR(half.low, 0.17248, 1e-5);
  EXPECT_NEAR(half.high, 0.70252, 1e-5);
  EXPECT_NEAR(half.p_upper, 0.3413, 1e-4);
  EXPECT_FALSE(half.Equivalent());
  EXPECT_NEAR(TestEquivalence(kA, kB, 0.8).p_upper, 0.01547, 1e-5);
  EXPECT_NEAR(TestEquivalence(kA, kB, 1.0).p_upper, 0.00123, 1e-5);
  EXPECT_TRUE(TestEquivalence(kA, kB, 0.8).Equivalent());
}

TEST(Effects, ReallyTheSame) {
  const std::vector<double> a = {3.10, 3.05, 3.08, 3.12, 3.07, 3.11};
  const std::vector<double> b = {3.09, 3.13, 3.06, 3.10, 3.12, 3.08};
  const Equivalence same = TestEquivalence(a, b, 0.05);
  EXPECT_NEAR(same.difference, 0.008333, 1e-6);
  EXPECT_NEAR(same.freedom, 9.99516, 1e-5);
  EXPECT_NEAR(same.p_lower, 0.00156, 1e-5);
  EXPECT_NEAR(same.p_upper, 0.01000, 1e-5);
  EXPECT_NEAR(same.low, -0.01899, 1e-5);
  EXPECT_NEAR(same.high, 0.03566, 1e-5);
}

TEST(Effects, NeighboursInTimeAreNotIndependent) {
  const std::vector<double> row = {1, 2, 4, 5, 5, 4, 4, 3, 1, 0, 0, 1, 2, 3, 3, 2};
  EXPECT_NEAR(EffectiveSize(row), 5.10, 0.005);
  const std::vector<double> constant(100, 7);
  EXPECT_EQ(EffectiveSize(constant), 1);
}

// Exact over all 36 pairs of blocks: mean 2.616667, standard error 0.235997, range 2.1 to 3.1333.
TEST(Effects, BlockBootstrapComesCloseToTheExactOne) {
  const std::vector<double> row = {2.0, 2.2, 2.1, 3.0, 3.3, 3.1};
  const BootstrapMean mean = BootstrapOfMean(row, 3, 20000);
  EXPECT_NEAR(mean.mean, 2.616667, 0.01);
  EXPECT_NEAR(mean.error, 0.235997, 0.005);
  EXPECT_GE(mean.low, 2.1 - 1e-9);
  EXPECT_LE(mean.high, 3.1334);
  EXPECT_EQ(BootstrapOfMean(row, 3).low, BootstrapOfMean(row, 3).low);
}

TEST(Effects, ManySignalsAtOnce) {
  const std::vector<double> p = {0.001, 0.008, 0.039, 0.041, 0.042,
                                 0.06,  0.074, 0.205, 0.212, 0.216};
  const std::vector<double> expected = {0.01, 0.04,   0.084, 0.084, 0.084,
                                        0.10, 0.1057, 0.216, 0.216, 0.216};
  const std::vector<double> adjusted = AdjustForMany(p);
  for (std::size_t i = 0; i < p.size(); ++i) EXPECT_NEAR(adjusted[i], expected[i], 5e-5) << i;
}

}  // namespace
}  // namespace proofdrive::analysis
