// Worked examples computed outside the project; formulas of the UN R100 annex (looked up) and of
// 49 CFR 571.305 S7.6 (from memory).
#include "analysis/physics/insulation.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

TEST(InsulationValues, LeakOnBothSides) {
  EXPECT_NEAR(SideResistance(200e3, 400, 320, 145.4545), 300e3, 0.5);
  EXPECT_NEAR(SideResistanceOfBoth(200e3, 320, 80, 145.4545), 300e3, 0.5);
  EXPECT_NEAR(SideResistance(200e3, 400, 320, 145.4545) / 400, 750, 0.05);
  EXPECT_NEAR(SideResistance(200e3, 400, 320, 145.4545) / 450, 666.7, 0.05);
  EXPECT_NEAR(WholeResistance(200e3, 320, 145.4545), 240e3, 0.5);
  EXPECT_NEAR(WholeResistance(200e3, 320, 145.4545) / 450, 533.3, 0.05);
}

TEST(InsulationValues, OneMeterMovedFromPointToPoint) {
  EXPECT_NEAR(SideResistance(200e3, 400, 312.5, 143.88489), 300e3, 0.5);
  EXPECT_NEAR(SideResistanceOfBoth(200e3, 312.5, 78.125, 143.88489), 292968.75, 0.5);
}

TEST(InsulationValues, LeakInsideTheString) {
  EXPECT_NEAR(SideResistance(200e3, 400, 286.4780, 167.7716), 197585, 1);
  EXPECT_NEAR(WholeResistance(200e3, 286.4780, 167.7716), 141509, 1);
  EXPECT_NEAR(LeakPlace(286.4780, 113.5220), 0.7162, 5e-5);
  EXPECT_NEAR(96 * LeakPlace(286.4780, 113.5220), 68.8, 0.05);
  // 150 kohm exactly in the middle: both sides look alike, and the reading of one side is twice the
  // truth. Balanced is not good.
  EXPECT_EQ(LeakPlace(200, 200), 0.5);
  const double with_known = 200 * 200e3 / (200e3 + 150e3);
  EXPECT_NEAR(SideResistance(200e3, 400, 200, with_known), 300e3, 0.5);
  EXPECT_NEAR(WholeResistance(200e3, 200, with_known), 150e3, 0.5);
  EXPECT_EQ(LeakPlace(0, 0), -1);
}

// Ordinary coolant 3000 uS/cm, low-conductivity coolant 100 uS/cm (looked up).
TEST(InsulationValues, CoolantFilm) {
  EXPECT_NEAR(FilmOhm(10, 50, 1, 3000), 667, 0.5);
  EXPECT_NEAR(FilmOhm(10, 50, 1, 100), 20e3, 0.5);
}

TEST(InsulationValues, SettlingAndEnergy) {
  EXPECT_NEAR(SettlingSeconds(1e6, 1e-6), 1, 1e-12);
  EXPECT_NEAR(SettlingSeconds(240e3, 2e-6), 0.48, 1e-12);
  EXPECT_NEAR(BodyEnergy(1e-6, 450), 0.101, 5e-4);
  EXPECT_NEAR(BodyEnergy(1.975e-6, 450), 0.2, 5e-4);
  EXPECT_NEAR(BodyEnergy(2.5e-6, 400), 0.2, 1e-12);
}

}  // namespace
}  // namespace proofdrive::analysis
