#include "analysis/checks/balance_check.h"

#include <gmock/gmock.h>

#include <cmath>

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
      }).Run("balance", SettingsOf({"pack.curve=nmc811-silicon", "pack.capacity=150"}));
  EXPECT_EQ(result.status, CheckStatus::kWithin);
  EXPECT_EQ(result.summary, "cells differ by 23.3 mV at rest, worth a note");
  EXPECT_NEAR(result.FindFigure("spread")->value, 23.3, 0.01);
  EXPECT_EQ(result.FindFigure("weakest_cell")->value, 7);
  EXPECT_NEAR(result.FindFigure("weakest_gap")->value, 2.48, 0.01);
  EXPECT_NEAR(result.FindFigure("weakest_gap_charge")->value, 3.72, 0.01);
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

// 25 mV are 3.5 % and more by every nickel curve at 3.65 V.
TEST(BalanceCheck, FewMillivoltsCanBeMuchCharge) {
  const CheckResult result = Resting([](std::size_t i) {
                               return 3.65 - (i == 4 ? 0.025 : 0);
                             }).Run("balance", SettingsOf({"pack.curve=nmc622"}));
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("less charge than the median cell"));
}

// 4.0947 V are 90 % of NMC811, where 10 mV are 4.9 % (published cell functions).
TEST(BalanceCheck, AFlatPartOfTheCurveIsRefused) {
  const CheckResult result = Resting([](std::size_t i) {
                               return kCells[i] - 3.7460 + 4.0947;
                             }).Run("balance", SettingsOf({"pack.curve=nmc811-silicon"}));
  EXPECT_EQ(result.FindFigure("weakest_gap"), nullptr);
  EXPECT_THAT(result.findings, Contains(HasSubstr("changes by 2")));
}

// Where the cells are not known every published curve of their chemistry has its say.
TEST(BalanceCheck, ChargeOfTheGapByEveryCurve) {
  const CheckResult result = Resting([](std::size_t i) {
                               return kCells[i];
                             }).Run("balance", SettingsOf({"pack.chemistry=nmc"}));
  const Figure* gap = result.FindFigure("weakest_gap");
  ASSERT_NE(gap, nullptr);
  EXPECT_THAT(gap->detail, HasSubstr("by 5 curves"));
  EXPECT_NEAR(gap->value, 2.3, 0.5);
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
  EXPECT_LT(result.FindFigure("weakest_gap")->value, 0.1) << "no cell is weak";
}

// A scatter of 4 mV puts opposite neighbours beyond 5 mV in nearly every pack.
double Scattered(std::size_t i) {
  const double x = std::sin(12.9898 * static_cast<double>(i + 1)) * 43758.5453;
  const double y = std::sin(78.233 * static_cast<double>(i + 1)) * 12543.123;
  const double u = x - std::floor(x), v = y - std::floor(y);
  return 3.7 + 0.004 * std::sqrt(-2 * std::log(u + 1e-9)) * std::cos(6.283185 * v);
}

CheckResult OfPack(const std::function<double(std::size_t)>& volt, const std::string& set = "") {
  InputBuilder input(4000);
  input.Each("cell voltages", 96, 10, 0.001, [&](std::size_t i, double) { return volt(i); })
      .Scalar("pack current", 1, 0.1, [](double) { return 0.4; });
  return input.Run("balance", set.empty() ? CheckSettings() : SettingsOf({set}));
}

TEST(BalanceCheck, ScatterIsNoSenseLead) {
  const CheckResult result = OfPack(Scattered);
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  const CheckResult lead = OfPack([](std::size_t i) {
    return Scattered(i) + (i == 40 ? 0.03 : i == 41 ? -0.03 : 0);
  });
  EXPECT_THAT(lead.summary, HasSubstr("cells 41 and 42"));
  EXPECT_THAT(lead.summary, HasSubstr("the sense lead between them"));
}

TEST(BalanceCheck, ASenseLeadHidesNoCell) {
  const CheckResult result = OfPack([](std::size_t i) {
    return Scattered(i) + (i == 40 ? 0.06 : i == 41 ? -0.06 : 0) - (i == 70 ? 0.15 : 0);
  });
  EXPECT_EQ(result.status, CheckStatus::kOutside);
  EXPECT_THAT(result.findings, Contains(HasSubstr("cell 71 is -1")));
}

// Limits of cells: data sheets and published cells, see docs/checks.md.
TEST(BalanceCheck, CellLimitsByChemistry) {
  const auto all = [](double volt, const std::string& set = "") {
    return OfPack([volt](std::size_t) { return volt; }, set).status;
  };
  EXPECT_EQ(all(4.19), CheckStatus::kWithin);
  EXPECT_EQ(all(4.27), CheckStatus::kLookCloser);
  EXPECT_EQ(all(4.36), CheckStatus::kOutside);
  EXPECT_EQ(all(4.36, "pack.cell_most=4.35"), CheckStatus::kWithin);
  EXPECT_EQ(all(3.64, "pack.chemistry=lfp"), CheckStatus::kWithin);
  EXPECT_EQ(all(3.80, "pack.chemistry=lfp"), CheckStatus::kOutside);
  EXPECT_EQ(all(2.40, "pack.chemistry=lfp"), CheckStatus::kWithin);
  EXPECT_EQ(all(2.40, "pack.chemistry=nmc"), CheckStatus::kLookCloser);
  EXPECT_EQ(all(1.60, "pack.chemistry=nmc"), CheckStatus::kOutside);
  EXPECT_EQ(all(1.60, "pack.chemistry=lfp"), CheckStatus::kOutside);
  EXPECT_EQ(all(1.80, "pack.chemistry=lfp"), CheckStatus::kLookCloser);
  EXPECT_EQ(all(1.60), CheckStatus::kOutside) << "too little for any chemistry";
  EXPECT_EQ(all(1.85), CheckStatus::kLookCloser) << "lithium titanate, nearly empty, or too little";
  EXPECT_EQ(all(1.40, "pack.chemistry=lfp"), CheckStatus::kOutside);
}

// 65 A out of 12 cells for 50 minutes; cell 1 has 13 % less capacity and falls off the curve's end.
CheckResult Discharged(double lost) {
  InputBuilder input(4000);
  const auto amps = [](double t) { return t > 300 && t < 3300 ? 65.0 : 0.0; };
  input.Scalar("pack current", 0.5, 0.1, amps)
      .Each("cell voltages", 12, 1, 0.001, [=](std::size_t i, double t) {
        const double out = std::min(std::max(t - 300, 0.0), 3000.0) / 3000;
        const double left = 1.02 - out * (i == 0 ? 1 + lost : 1.0);
        const double recovered = t > 3300 ? 0.25 : 0;
        return 3.3 + 0.8 * left - 0.2 * std::exp(-left / 0.06) * (1 - recovered) - 0.001 * amps(t) +
               0.0005 * static_cast<double>(i % 5);
      });
  return input.Run("balance");
}

TEST(BalanceCheck, TheWeakestCellUnderLoadIsTold) {
  const CheckResult weak = Discharged(0.13);
  std::string all = weak.summary;
  for (const std::string& line : weak.findings) all += "\n" + line;
  EXPECT_THAT(all, HasSubstr("cell 1 falls away under load"));
  EXPECT_NE(weak.status, CheckStatus::kWithin);
  const CheckResult even = Discharged(0);
  ASSERT_NE(even.FindFigure("weakest_under_load"), nullptr);
  EXPECT_LT(even.FindFigure("weakest_under_load")->value, 10);
  EXPECT_EQ(even.status, CheckStatus::kWithin) << even.summary;
}

// Half an hour of charging; data sheets begin at 0 degC.
CheckResult ChargedAt(double celsius, double amps, const std::string& set = "", double volt = 3.7) {
  InputBuilder input(6000);
  input.Scalar("pack current", 1, 0.1, [=](double t) { return t < 1800 ? -amps : 0; })
      .Each("cell temperatures", 4, 5, 0.5,
            [=](std::size_t i, double) { return celsius + static_cast<double>(i); })
      .Each("cell voltages", 12, 10, 0.001,
            [=](std::size_t i, double) { return volt + 0.0005 * static_cast<double>(i % 3); });
  return input.Run("balance", set.empty() ? CheckSettings() : SettingsOf({set}));
}

TEST(BalanceCheck, ChargingInTheCold) {
  const CheckResult cold = ChargedAt(-12, 30);
  EXPECT_EQ(cold.status, CheckStatus::kCannotTell) << "its capacity is not known";
  EXPECT_EQ(ChargedAt(-25, 30).status, CheckStatus::kLookCloser);
  EXPECT_EQ(ChargedAt(-12, 30, "pack.capacity=100").status, CheckStatus::kLookCloser);
  EXPECT_THAT(cold.summary, HasSubstr("lithium plates on cold graphite"));
  EXPECT_EQ(ChargedAt(-5, 60, "pack.capacity=100").status, CheckStatus::kLookCloser);
  EXPECT_EQ(ChargedAt(-5, 120, "pack.capacity=100").status, CheckStatus::kOutside);
  const CheckResult slow = ChargedAt(-5, 15, "pack.capacity=100");
  EXPECT_EQ(slow.status, CheckStatus::kWithin) << slow.summary;
  EXPECT_THAT(slow.findings, Contains(HasSubstr("lithium plates")));
  const CheckResult trickle = ChargedAt(-15, 4, "pack.capacity=100");
  EXPECT_THAT(trickle.findings, ::testing::Not(Contains(HasSubstr("lithium plates"))));
  EXPECT_EQ(ChargedAt(5, 150, "pack.capacity=100").status, CheckStatus::kWithin);
  const CheckResult titanate = ChargedAt(-12, 30, "", 2.4);
  EXPECT_THAT(titanate.findings, ::testing::Not(Contains(HasSubstr("lithium plates"))));
  EXPECT_NE(titanate.status, CheckStatus::kOutside);
}

TEST(BalanceCheck, OneCellNearZeroOrReversed) {
  for (const double volt : {0.2, -0.8}) {
    const CheckResult result =
        OfPack([volt](std::size_t i) { return i == 16 ? volt : Scattered(i); });
    EXPECT_EQ(result.status, CheckStatus::kOutside);
    EXPECT_THAT(result.summary, HasSubstr("cell 17 was as low as"));
  }
}

// Two single disturbed readings are not believed; a deep discharge that is over by now is.
TEST(BalanceCheck, ADeepDischargeThatIsOver) {
  const auto below = [](double until) {
    InputBuilder input(4000);
    input
        .Each("cell voltages", 12, 10, 0.001,
              [=](std::size_t i, double t) { return i == 3 && t < until ? 1.8 : 3.7; })
        .Scalar("pack current", 1, 0.1, [](double) { return 0.4; });
    return input.Run("balance").status;
  };
  EXPECT_EQ(below(20), CheckStatus::kWithin);
  EXPECT_NE(below(60), CheckStatus::kWithin);
}

TEST(BalanceCheck, NeverAtRest) {
  InputBuilder input(300);
  input.Each("cell voltages", 12, 1, 0.001, [](std::size_t i, double) { return kCells[i]; })
      .Scalar("pack current", 1, 0.1, [](double) { return 40; });
  const CheckResult result = input.Run("balance");
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_THAT(result.summary, HasSubstr("the pack at rest"));
}

// The same difference of charge is more millivolts where the voltage is steep (published curves).
TEST(BalanceCheck, SteepPartsOfTheCurve) {
  const auto run = [](double volt, double apart_mv, const std::string& set = "") {
    return OfPack([=](std::size_t i) { return volt + apart_mv / 1000 * double(i % 9) / 8; }, set);
  };
  EXPECT_EQ(run(3.95, 38).status, CheckStatus::kWithin) << "12.5 mV/% instead of 9";
  EXPECT_EQ(run(3.95, 45).status, CheckStatus::kLookCloser);
  EXPECT_EQ(run(3.35, 55, "pack.chemistry=nmc").status, CheckStatus::kWithin);
  EXPECT_EQ(run(3.30, 33, "pack.chemistry=lfp").status, CheckStatus::kLookCloser) << "plateau";
  EXPECT_EQ(run(3.40, 120, "pack.chemistry=lfp").status, CheckStatus::kWithin) << "nearly full";
  EXPECT_EQ(run(3.95, 145).status, CheckStatus::kOutside);
}

TEST(BalanceCheck, OneCellStandsOutOnASteepPart) {
  const CheckResult result =
      OfPack([](std::size_t i) { return Scattered(i) - 0.35 - (i == 20 ? 0.05 : 0); },
             "pack.chemistry=nmc");
  EXPECT_EQ(result.status, CheckStatus::kLookCloser) << result.summary;
}

// Right after a load of 0.2 V on the median cell, 50 mV between cells may be their resistances.
TEST(BalanceCheck, WhatTheLoadLeavesIsNoImbalance) {
  const auto run = [](double apart, double rest_s) {
    InputBuilder input(600 + rest_s);
    input
        .Each("cell voltages", 12, 1, 0.001,
              [=](std::size_t i, double t) {
                return 3.65 - (t < 600 ? 0.2 : 0) + apart * double(i % 5) / 4;
              })
        .Scalar("pack current", 1, 0.1, [](double t) { return t < 600 ? 150 : 0.3; });
    return input.Run("balance");
  };
  const CheckResult soon = run(0.06, 100);
  EXPECT_EQ(soon.status, CheckStatus::kCannotTell) << soon.summary;
  EXPECT_THAT(soon.missing, Contains(HasSubstr("a longer rest: cells differ by 60 mV")));
  EXPECT_EQ(run(0.12, 100).status, CheckStatus::kLookCloser);
  EXPECT_EQ(run(0.06, 4000).status, CheckStatus::kLookCloser);
}

// 50 times a second while driving, every 5 s while parked: one rest of 4000 s.
TEST(BalanceCheck, AParkedNetworkThatSendsLessOftenRests) {
  InputBuilder input(4200);
  input.Each("cell voltages", 12, 5, 0.001, [](std::size_t i, double) { return kCells[i]; })
      .Scalar("pack current", 0.02, 0.1, [](double t) { return t < 200 ? 40 : 0.3; });
  Track& current = input.last().elements[0];
  Track parked;
  for (std::size_t i = 0; i < current.size(); ++i) {
    const bool sent = current.time_s[i] < 200 || i % 250 == 0;
    if (sent) parked.Add(current.time_s[i], current.value[i]);
  }
  current = parked;
  EXPECT_THAT(input.Run("balance").summary, HasSubstr("mV at rest"));
}

// Four of 96 that stand out right after a load may be weak by resistance: never "within limits".
TEST(BalanceCheck, WhatStandsOutRightAfterALoadIsNotPassedOver) {
  InputBuilder input(700);
  input
      .Each("cell voltages", 96, 1, 0.001,
            [](std::size_t i, double t) {
              return Scattered(i) / 20 + 3.55 - (t < 600 ? 0.2 : 0) - (i % 24 == 7 ? 0.034 : 0);
            })
      .Scalar("pack current", 1, 0.1, [](double t) { return t < 600 ? 150 : 0.3; });
  EXPECT_EQ(input.Run("balance").status, CheckStatus::kCannotTell) << input.Run("balance").summary;
}

}  // namespace
}  // namespace proofdrive::analysis
