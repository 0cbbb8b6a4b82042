#include "analysis/checks/balance_check.h"

#include <gmock/gmock.h>

#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using testing::InputBuilder;
using testing::SettingsOf;

// Twelve cells at rest, worked by hand.
constexpr double kCells[] = {3.7461, 3.7459, 3.7463, 3.7460, 3.7458, 3.7462,
                             3.7231, 3.7460, 3.7464, 3.7457, 3.7461, 3.7459};

InputBuilder Resting(const std::function<double(std::size_t)>& volt, double length_s = 4000) {
  InputBuilder input(length_s);
  input.Each("cell voltages", 12, 10, 0.0001, [&](std::size_t i, double) { return volt(i); })
      .Scalar("pack current", 1, 0.1, [](double) { return 0.4; });
  return input;
}

TEST(BalanceCheck, OneWeakCellInVoltAndCharge) {
  const CheckResult result =
      Resting([](std::size_t i) {
        return kCells[i];
      }).Run("balance", SettingsOf({"pack.chemistry=nmc", "pack.capacity=150"}));
  EXPECT_EQ(result.status, CheckStatus::kWithin);
  EXPECT_EQ(result.summary, "cells differ by 23.3 mV at rest, worth a note");
  EXPECT_NEAR(result.FindFigure("spread")->value, 23.3, 0.01);
  EXPECT_EQ(result.FindFigure("weakest_cell")->value, 7);
  EXPECT_NEAR(result.FindFigure("weakest_gap")->value, 2.41, 0.01);
  EXPECT_THAT(result.findings, Contains("cell 7 is -22.9 mV from the median"));
}

TEST(BalanceCheck, SpreadsBeyondTheLimits) {
  const auto with = [](double mv) {
    return Resting([mv](std::size_t i) { return kCells[0] - (i == 4 ? mv / 1000 : 0); })
        .Run("balance")
        .status;
  };
  EXPECT_EQ(with(29), CheckStatus::kWithin);
  EXPECT_EQ(with(31), CheckStatus::kLookCloser);
  EXPECT_EQ(with(101), CheckStatus::kOutside);
}

TEST(BalanceCheck, IronPhosphateIsRefused) {
  const CheckResult result = Resting([](std::size_t i) {
                               return kCells[i] - 0.45;
                             }).Run("balance", SettingsOf({"pack.chemistry=lfp"}));
  EXPECT_EQ(result.FindFigure("weakest_gap"), nullptr);
  EXPECT_THAT(result.findings, Contains(HasSubstr("this chemistry has a plateau")));
}

// 4.0947 V are 90 % of NMC811, where 10 mV are 4.9 % (published cell functions).
TEST(BalanceCheck, AFlatPartOfTheCurveIsRefused) {
  const CheckResult result = Resting([](std::size_t i) {
                               return kCells[i] - 3.7460 + 4.0947;
                             }).Run("balance", SettingsOf({"pack.chemistry=nmc"}));
  EXPECT_EQ(result.FindFigure("weakest_gap"), nullptr);
  EXPECT_THAT(result.findings, Contains(HasSubstr("changes by 2.0")));
}

TEST(BalanceCheck, ShortRestGivesNoCharge) {
  const CheckResult result = Resting([](std::size_t i) { return kCells[i]; }, 300)
                                 .Run("balance", SettingsOf({"pack.chemistry=nmc"}));
  EXPECT_EQ(result.FindFigure("weakest_gap"), nullptr);
  EXPECT_THAT(result.missing, Contains(HasSubstr("a longer rest")));
  const CheckResult stood =
      Resting([](std::size_t i) { return kCells[i]; }, 300)
          .Run("balance", SettingsOf({"pack.chemistry=nmc", "rest.before=8"}));
  EXPECT_NE(stood.FindFigure("weakest_gap"), nullptr);
}

TEST(BalanceCheck, NeighboursTogetherAreBridged) {
  const CheckResult result =
      Resting([](std::size_t i) {
        return kCells[0] - (i >= 4 && i <= 6 ? 0.05 : 0.0001 * double(i % 3));
      }).Run("balance");
  EXPECT_THAT(result.findings, Contains(HasSubstr("cells 5 to 7 are low together")));
}

TEST(BalanceCheck, OppositeNeighboursAreASenseLead) {
  const CheckResult result = Resting([](std::size_t i) {
                               return 3.7 + (i == 4 ? 0.06 : i == 5 ? -0.06 : 0);
                             }).Run("balance");
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("the sense lead between them"));
  EXPECT_EQ(result.FindFigure("weakest_gap"), nullptr) << "no cell is weak";
}

TEST(BalanceCheck, NeverAtRest) {
  InputBuilder input(300);
  input.Each("cell voltages", 12, 1, 0.001, [](std::size_t i, double) { return kCells[i]; })
      .Scalar("pack current", 1, 0.1, [](double) { return 40; });
  const CheckResult result = input.Run("balance");
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_THAT(result.summary, HasSubstr("the pack at rest"));
}

}  // namespace
}  // namespace proofdrive::analysis
