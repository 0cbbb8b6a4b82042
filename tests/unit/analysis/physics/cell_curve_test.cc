#include "analysis/physics/cell_curve.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

struct Row {
  double percent, volt, slope;
};
// Half-cell functions of J. Electrochem. Soc. 167 (2020) 080534, computed outside the project.
const Row kRows[] = {{5, 3.1065, 51.9},  {10, 3.2921, 34.5},  {15, 3.4313, 16.5},
                     {20, 3.4835, 7.90}, {30, 3.5781, 10.58}, {40, 3.6640, 7.20},
                     {50, 3.7458, 9.49}, {60, 3.8354, 8.10},  {70, 3.9405, 10.32},
                     {80, 4.0342, 9.46}, {90, 4.0947, 2.04},  {95, 4.1144, 7.97}};

TEST(CellCurve, VoltageAndSlopeOfTheTable) {
  for (const Row& row : kRows) {
    SCOPED_TRACE(row.percent);
    EXPECT_NEAR(NmcOpenVoltage(row.percent / 100), row.volt, 5.1e-5);
    EXPECT_NEAR(NmcSlope(row.percent / 100), row.slope, row.slope > 12 ? 0.051 : 0.0051);
    EXPECT_NEAR(100 * NmcChargeOf(row.volt), row.percent, 0.03);
  }
}

TEST(CellCurve, GapOfTheWeakCellAsCharge) {
  const double percent = *PercentOf(Chemistry::kNmc, 22.9, 0.5);
  EXPECT_NEAR(percent, 2.41, 5e-3);
  EXPECT_NEAR(100 * (NmcChargeOf(3.7460) - NmcChargeOf(3.7231)), 2.48, 5e-3);
  EXPECT_NEAR((NmcChargeOf(3.7460) - NmcChargeOf(3.7231)) * 150, 3.72, 5e-3);
  // Falling 12 mV in ten days: charge, and the leak it needs.
  const double drift = *PercentOf(Chemistry::kNmc, 12.0, 0.5);
  EXPECT_NEAR(drift, 1.265, 5e-4);
  EXPECT_NEAR(drift / 100 * 150, 1.897, 6e-4);
  EXPECT_NEAR(drift / 100 * 150 / 240 * 1000, 7.91, 5e-3);
}

TEST(CellCurve, RestedVoltageOfTheRangeExample) {
  EXPECT_NEAR(100 * *ChargeOf(Chemistry::kNmc, 3.682), 42.48, 0.02);
}

TEST(CellCurve, IronPhosphateAndUnknownAreRefused) {
  EXPECT_FALSE(PercentOf(Chemistry::kLfp, 10, 0.5));
  EXPECT_FALSE(PercentOf(Chemistry::kUnknown, 10, 0.5));
  EXPECT_FALSE(ChargeOf(Chemistry::kLfp, 3.3));
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
