#include "analysis/physics/cell_curve.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

TEST(CellCurve, ChemistriesByTheirWords) {
  EXPECT_EQ(ChemistryOf("nmc"), Chemistry::kNmc);
  EXPECT_FALSE(ChemistryOf("lead"));
}

TEST(CellCurve, UnfinishedRest) {
  const auto end = ExtrapolateRest(3.7402, 3.7436, 3.7452, 30 * 60);
  ASSERT_TRUE(end);
  EXPECT_NEAR(end->volt, 3.74662, 5e-6);
  EXPECT_NEAR(end->tau_s / 60, 39.8, 0.05);
  EXPECT_NEAR(1000 * end->left_v, 1.42, 5e-3);
  EXPECT_FALSE(ExtrapolateRest(3.70, 3.71, 3.72, 60));
  EXPECT_FALSE(ExtrapolateRest(3.70, 3.70, 3.70, 60));
}

}  // namespace
}  // namespace proofdrive::analysis
