// Worked examples computed outside the project.
#include "analysis/physics/insulation.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

TEST(InsulationValues, PlaceOfALeak) {
  EXPECT_NEAR(LeakPlace(286.4780, 113.5220), 0.7162, 5e-5);
  EXPECT_NEAR(96 * LeakPlace(286.4780, 113.5220), 68.8, 0.05);
  // A leak exactly in the middle: both sides look alike. Balanced is not good.
  EXPECT_EQ(LeakPlace(200, 200), 0.5);
  EXPECT_EQ(LeakPlace(0, 0), -1);
}

TEST(InsulationValues, Settling) {
  EXPECT_NEAR(SettlingSeconds(1e6, 1e-6), 1, 1e-12);
  EXPECT_NEAR(SettlingSeconds(240e3, 2e-6), 0.48, 1e-12);
}

}  // namespace
}  // namespace proofdrive::analysis
