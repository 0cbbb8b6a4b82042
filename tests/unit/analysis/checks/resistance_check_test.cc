#include "analysis/checks/resistance_check.h"

#include <gmock/gmock.h>

#include <cmath>

#include "analysis/checks/parts/step_resistance.h"
#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using testing::InputBuilder;

// Steps of 80 A every ten seconds.
double Amps(double t) { return std::fmod(t, 20) < 10 ? 0 : 80; }

InputBuilder Pack(const std::function<double(std::size_t)>& mohm, double link_mohm) {
  InputBuilder input(200);
  double sum = 0;
  for (std::size_t i = 0; i < 12; ++i) sum += mohm(i);
  input.Scalar("pack current", 0.1, 0.1, Amps)
      .Scalar("pack voltage", 0.1, 0.01,
              [=](double t) { return 12 * 3.75 - (sum + link_mohm) / 1000 * Amps(t); })
      .Each("cell voltages", 12, 0.5, 0.0001,
            [&](std::size_t i, double t) { return 3.75 - mohm(i) / 1000 * Amps(t); });
  return input;
}

TEST(ResistanceCheck, PackCellsAndLinks) {
  const CheckResult result =
      Pack([](std::size_t i) { return 1.0 + 0.01 * static_cast<double>(i % 4); }, 2)
          .Run("resistance");
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_NEAR(result.FindFigure("pack_resistance")->value, 12.18 + 2, 0.13);
  EXPECT_NEAR(result.FindFigure("cell_resistance_median")->value, 1.015, 0.01);
  EXPECT_NEAR(result.FindFigure("link_resistance")->value, 2, 0.13);
}

TEST(ResistanceCheck, LostParallelCell) {
  const CheckResult result =
      Pack([](std::size_t i) { return i == 8 ? 2.0 : 1.0 + 0.01 * static_cast<double>(i % 4); }, 2)
          .Run("resistance");
  EXPECT_EQ(result.status, CheckStatus::kOutside);
  EXPECT_THAT(result.summary, HasSubstr("cell 9 has"));
}

TEST(ResistanceCheck, LooseJoint) {
  const CheckResult result =
      Pack([](std::size_t i) { return 1.0 + 0.01 * static_cast<double>(i % 4); }, 8)
          .Run("resistance");
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("a loose or corroded joint"));
}

TEST(ResistanceCheck, ConstantCurrentSaysNothing) {
  InputBuilder input(200);
  input.Scalar("pack current", 0.1, 0.1, [](double) { return 20; })
      .Scalar("pack voltage", 0.1, 0.1, [](double) { return 360; });
  const CheckResult result = input.Run("resistance");
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_THAT(result.summary, HasSubstr("(there are 0)"));
}

TEST(ResistanceCheck, OneBadPairDoesNotMoveTheSlope) {
  Track volts, amps;
  for (int i = 0; i < 400; ++i) {
    const double t = 0.5 * i;
    amps.Add(t, Amps(t));
    volts.Add(t, 380 - 0.1 * Amps(t) - (i == 61 ? 15 : 0));
  }
  const StepPairs pairs = PairsOf(volts, amps, 2, 20);
  ASSERT_GE(pairs.amps.size(), 10U);
  EXPECT_NEAR(pairs.ohm, 0.1, 0.002);
}

}  // namespace
}  // namespace proofdrive::analysis
