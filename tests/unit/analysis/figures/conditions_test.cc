#include "analysis/figures/conditions.h"

#include <gtest/gtest.h>

#include <cmath>

namespace proofdrive::analysis {
namespace {

// Between halving per 10 K and no change at all.
TEST(InsulationFactor, LiesBetweenHalvingAndNothing) {
  const Factor ten = InsulationFactor(15, 25);
  EXPECT_NEAR(ten.middle, 0.7071, 1e-4);
  EXPECT_NEAR(ten.error, 0.2001, 1e-3);  // ln 2 / sqrt(12)
  EXPECT_EQ(InsulationFactor(20, 20).middle, 1);
  EXPECT_EQ(InsulationFactor(20, 20).error, 0);
  EXPECT_NEAR(InsulationFactor(25, 15).middle * ten.middle, 1, 1e-12);
}

// Published cells: 15 for 25 degC is x 1.34 (21 kJ/mol); 20 kJ/mol is 1.32, 30 kJ/mol 1.52.
TEST(CellResistanceFactor, HoldsWhatIsPublished) {
  const auto colder = CellResistanceFactor(25, 15);
  ASSERT_TRUE(colder);
  EXPECT_NEAR(colder->middle, 1.42, 0.01);
  EXPECT_GT(colder->middle, 1.34);
  EXPECT_LT(colder->middle * std::exp(-1.96 * colder->error), 1.34);
  // 40 kJ/mol, the middle of 30 to 50: 8.55 at -10 degC over 4.38 at 0 degC.
  EXPECT_NEAR(CellResistanceFactor(0, -10)->middle, 8.55 / 4.38, 0.01);
}

TEST(CellResistanceFactor, NotBeyondTenKelvin) {
  EXPECT_FALSE(CellResistanceFactor(25, 14.9));
  EXPECT_TRUE(CellResistanceFactor(25, 15));
}

// The same difference of charge is more millivolts where the curve is steep.
TEST(SpreadFactor, FollowsTheSteepnessOfTheCurve) {
  const auto nmc = CurvesOf(Chemistry::kNmc);
  const auto empty = SpreadFactor(nmc, 3.65, 3.35);
  ASSERT_TRUE(empty);
  EXPECT_GT(empty->middle, 1.3);
  EXPECT_GT(empty->error, 0);
  EXPECT_NEAR(SpreadFactor(nmc, 3.65, 3.65)->middle, 1, 1e-9);
  EXPECT_FALSE(SpreadFactor({}, 3.65, 3.35));
}

}  // namespace
}  // namespace proofdrive::analysis
