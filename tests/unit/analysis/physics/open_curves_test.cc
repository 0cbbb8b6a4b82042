// Check points calculated outside the project from the published half-cell functions.
#include "analysis/physics/open_curves.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

TEST(OpenCurves, CheckPoints) {
  const struct {
    const char* name;
    double at_10, at_50, at_90, full;
  } kRows[] = {{"nmc111", 3.445, 3.671, 4.054, 4.200},
               {"nmc532", 3.511, 3.716, 4.077, 4.200},
               {"nmc622", 3.403, 3.643, 4.064, 4.200},
               {"nmc811", 3.367, 3.679, 4.092, 4.200},
               {"nmc811-silicon", 3.292, 3.746, 4.095, 4.181},
               {"nca", 3.248, 3.680, 4.067, 4.180},
               {"lmo", 3.755, 3.939, 4.033, 4.200}};
  for (const auto& row : kRows) {
    SCOPED_TRACE(row.name);
    const auto curve = CurveOfText(row.name);
    ASSERT_TRUE(curve);
    EXPECT_NEAR(curve->VoltAt(0.1), row.at_10, 1e-3);
    EXPECT_NEAR(curve->VoltAt(0.5), row.at_50, 1e-3);
    EXPECT_NEAR(curve->VoltAt(0.9), row.at_90, 1e-3);
    EXPECT_NEAR(curve->VoltAt(1), row.full, 1e-3);
    EXPECT_NEAR(curve->ChargeAt(row.at_50), 0.5, 0.002);
  }
}

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

OpenCurve Silicon() { return *CurveOfText("nmc811-silicon"); }
double PerPercent(double percent) { return 10 * Silicon().Slope(percent / 100); }  // mV

TEST(OpenCurves, VoltageAndSlopeOfTheTable) {
  for (const Row& row : kRows) {
    SCOPED_TRACE(row.percent);
    EXPECT_NEAR(Silicon().VoltAt(row.percent / 100), row.volt, 5.1e-5);
    EXPECT_NEAR(PerPercent(row.percent), row.slope, row.slope > 12 ? 0.051 : 0.0051);
    EXPECT_NEAR(100 * Silicon().ChargeAt(row.volt), row.percent, 0.03);
    EXPECT_NEAR(10 / PerPercent(row.percent), row.per_ten_mv, 0.0051);
  }
}

TEST(OpenCurves, GapOfTheWeakCellAsCharge) {
  EXPECT_NEAR(22.9 / PerPercent(50), 2.41, 5e-3);
  const double gap = Silicon().ChargeAt(3.7460) - Silicon().ChargeAt(3.7231);
  EXPECT_NEAR(100 * gap, 2.48, 5e-3);
  EXPECT_NEAR(gap * 150, 3.72, 5e-3);
}

// A cell of 150 Ah that falls 12 mV against the others in ten days: charge, and the leak it needs.
TEST(OpenCurves, DriftOfOneCell) {
  const double drift = 12.0 / PerPercent(50);
  EXPECT_NEAR(drift, 1.265, 5e-4);
  EXPECT_NEAR(drift / 100 * 150, 1.897, 6e-4);
  const double leak_a = drift / 100 * 150 / 240;
  EXPECT_NEAR(1000 * leak_a, 7.91, 5e-3);
  EXPECT_NEAR(3.746 / leak_a, 474, 0.5);
}

// 2 kohm of coolant film across four neighbours (15 V) of 150 Ah: they fall together.
TEST(OpenCurves, DriftBelowACoolantFilm) {
  constexpr double kPercentADay = 100 * (24 * 15 / 2e3) / 150;  // 7.5 mA, 0.18 Ah, 0.12 %
  EXPECT_NEAR(kPercentADay * PerPercent(50), 1.14, 5e-3);
}

TEST(OpenCurves, RestedVoltageOfTheRangeExample) {
  EXPECT_NEAR(100 * Silicon().ChargeAt(3.682), 42.48, 0.02);
}

// 4.18 to 4.20 V were all 100 % of one curve.
TEST(OpenCurves, GoOnBeyondTheirEnds) {
  const auto curve = CurveOfText("nmc811-silicon");
  EXPECT_GT(curve->ChargeAt(4.20), 1.005);
  EXPECT_LE(curve->ChargeAt(5), 1.051);
}

TEST(OpenCurves, Tables) {
  const auto table = CurveOfText("0 3.0, 20 3.4, 80 4.0, 100 4.2");
  ASSERT_TRUE(table);
  EXPECT_NEAR(table->VoltAt(0.5), 3.7, 1e-9);
  EXPECT_NEAR(table->ChargeAt(3.2), 0.1, 1e-6);
  EXPECT_NEAR(table->Slope(0.5), 1, 1e-6);
  for (const char* text : {"", "nmc", "0 3.0, 100 4.2", "0 3, 20 3.4, 80 3.3, 100 4.2",
                           "5 3, 20 3.4, 80 3.9, 100 4.2", "0 3, 20 x, 80 4, 100 4.2"}) {
    EXPECT_FALSE(CurveOfText(text)) << text;
  }
}

TEST(OpenCurves, ByChemistry) {
  EXPECT_EQ(CurvesOf(Chemistry::kNmc).size(), 5U);
  EXPECT_EQ(CurvesOf(Chemistry::kUnknown).size(), 7U);
  EXPECT_TRUE(CurvesOf(Chemistry::kLfp).empty());
}

}  // namespace
}  // namespace proofdrive::analysis
