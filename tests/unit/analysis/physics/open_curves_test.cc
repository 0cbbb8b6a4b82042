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
