#include "tests/fleet/measure/binomial.h"

#include <gmock/gmock.h>

#include <cmath>

namespace proofdrive::fleet {
namespace {

TEST(LimitsOfShare, AreThoseOfTheClosedForms) {
  // Nothing seen in n: 1 - 0.025^(1/n). All seen: its mirror.
  const ShareLimits none = LimitsOfShare(0, 100);
  EXPECT_EQ(none.low, 0);
  EXPECT_NEAR(none.high, 1 - std::pow(0.025, 0.01), 1e-9);
  const ShareLimits all = LimitsOfShare(100, 100);
  EXPECT_NEAR(all.low, std::pow(0.025, 0.01), 1e-9);
  EXPECT_EQ(all.high, 1);
}

TEST(LimitsOfShare, AreSymmetricAroundAHalf) {
  const ShareLimits half = LimitsOfShare(10, 20);
  EXPECT_NEAR(half.low, 1 - half.high, 1e-9);
  EXPECT_NEAR(half.low, 0.2720, 0.0001);  // usual tables of the exact interval
}

TEST(LimitsOfShare, KnowNothingOfNothing) {
  EXPECT_EQ(LimitsOfShare(0, 0).low, 0);
  EXPECT_EQ(LimitsOfShare(0, 0).high, 1);
}

// Worked: ten tosses of a coin, 56 of 1024 have eight and more; 1 - 0.9^5 for one and more.
TEST(Chance, IsThatOfTheBinomialDistribution) {
  EXPECT_NEAR(ChanceOfAtLeast(8, 10, 0.5), 56.0 / 1024, 1e-12);
  EXPECT_NEAR(ChanceOfAtMost(2, 10, 0.5), 56.0 / 1024, 1e-12);
  EXPECT_NEAR(ChanceOfAtLeast(1, 5, 0.1), 1 - std::pow(0.9, 5), 1e-12);
  EXPECT_EQ(ChanceOfAtLeast(0, 5, 0.1), 1);
}

}  // namespace
}  // namespace proofdrive::fleet
