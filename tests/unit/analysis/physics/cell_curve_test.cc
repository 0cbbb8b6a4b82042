#include "analysis/physics/cell_curve.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

struct Row {
  double percent, volt, slope;
  double per_ten_mv;  // % of charge
};
// Half-cell functions of J. Electrochem. Soc. 167 (2020) 080534 (looked up), computed outside the
// project.
const Row kRows[] = {{5, 3.1065, 51.9, 0.19},  {10, 3.2921, 34.5, 0.29},  {15, 3.4313, 16.5, 0.61},
                     {20, 3.4835, 7.90, 1.27}, {30, 3.5781, 10.58, 0.95}, {40, 3.6640, 7.20, 1.39},
                     {50, 3.7458, 9.49, 1.05}, {60, 3.8354, 8.10, 1.23},  {70, 3.9405, 10.32, 0.97},
                     {80, 4.0342, 9.46, 1.06}, {90, 4.0947, 2.04, 4.90},  {95, 4.1144, 7.97, 1.26}};

TEST(CellCurve, VoltageAndSlopeOfTheTable) {
  for (const Row& row : kRows) {
    SCOPED_TRACE(row.percent);
    EXPECT_NEAR(NmcOpenVoltage(row.percent / 100), row.volt, 5.1e-5);
    EXPECT_NEAR(NmcSlope(row.percent / 100), row.slope, row.slope > 12 ? 0.051 : 0.0051);
    EXPECT_NEAR(100 * NmcChargeOf(row.volt), row.percent, 0.03);
    EXPECT_NEAR(*PercentOf(Chemistry::kNmc, 10, row.percent / 100), row.per_ten_mv, 0.0051);
  }
}

TEST(CellCurve, GapOfTheWeakCellAsCharge) {
  const double percent = *PercentOf(Chemistry::kNmc, 22.9, 0.5);
  EXPECT_NEAR(percent, 2.41, 5e-3);
  EXPECT_NEAR(100 * (NmcChargeOf(3.7460) - NmcChargeOf(3.7231)), 2.48, 5e-3);
  EXPECT_NEAR((NmcChargeOf(3.7460) - NmcChargeOf(3.7231)) * 150, 3.72, 5e-3);
}

// A cell of 150 Ah that falls 12 mV against the others in ten days: charge, and the leak it needs.
TEST(CellCurve, DriftOfOneCell) {
  const double drift = *PercentOf(Chemistry::kNmc, 12.0, 0.5);
  EXPECT_NEAR(drift, 1.265, 5e-4);
  EXPECT_NEAR(drift / 100 * 150, 1.897, 6e-4);
  const double leak_a = drift / 100 * 150 / 240;
  EXPECT_NEAR(1000 * leak_a, 7.91, 5e-3);
  EXPECT_NEAR(3.746 / leak_a, 474, 0.5);
}

// 2 kohm of coolant film across four neighbours (15 V) of 150 Ah: they fall together.
TEST(CellCurve, DriftBelowACoolantFilm) {
  constexpr double kPercentADay = 100 * (24 * 15 / 2e3) / 150;  // 7.5 mA, 0.18 Ah, 0.12 %
  EXPECT_NEAR(kPercentADay * NmcSlope(0.5), 1.14, 5e-3);
  EXPECT_NEAR(*PercentOf(Chemistry::kNmc, 1.14, 0.5), kPercentADay, 5e-4);
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
