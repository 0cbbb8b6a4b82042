#include "analysis/physics/resistance.h"

#include <gtest/gtest.h>

#include <vector>

namespace proofdrive::analysis {
namespace {

TEST(Resistance, OneStepAtSeveralTimes) {
  EXPECT_NEAR(StepResistance(389.6, -2, 372.8, -152), 0.1120, 5e-5);
  EXPECT_NEAR(1000 * StepResistance(389.6, -2, 372.8, -152) / 96, 1.1667, 5e-5);
  EXPECT_NEAR(StepResistance(389.6, -2, 375.8, -152), 0.0920, 5e-5);
  EXPECT_NEAR(StepResistance(389.6, -2, 374.6, -152), 0.1000, 5e-5);
  EXPECT_EQ(StepResistance(389.6, -2, 372.8, -2), 0);
}

// Means of a published data set of 58 Ah cells at 10, 25 and 40 degC, mohm.
TEST(Resistance, Temperature) {
  const std::vector<double> celsius = {10, 25, 40};
  const std::vector<double> ohm = {1.958, 1.147, 0.835};
  const double b = ArrheniusB(celsius, ohm);
  EXPECT_NEAR(b, 2527.55, 5e-3);
  EXPECT_NEAR(ArrheniusFactor(b, 15, 25), 1.34, 5e-3);
}

TEST(Resistance, LengthOfThePulse) {
  const CellCircuit first{1.189, 0.122, 3.0, 0.174, 23};
  EXPECT_GT(PulseResistance(first, 10), PulseResistance(first, 2));
  EXPECT_NEAR(PulseResistance(first, 0), 1.189, 1e-12);
}

TEST(Resistance, SmallStepsCarryNoInformation) {
  // Steps of 0.5 V on 0.112 ohm.
  EXPECT_NEAR(100 * RoundingShare(0.5, 10, 0.112), 18, 0.5);
  EXPECT_NEAR(100 * RoundingShare(0.5, 20, 0.112), 9, 0.5);
  EXPECT_NEAR(100 * RoundingShare(0.5, 50, 0.112), 3.6, 0.05);
  EXPECT_NEAR(100 * RoundingShare(0.5, 150, 0.112), 1.2, 0.05);
}

}  // namespace
}  // namespace proofdrive::analysis
