#include "analysis/checks/insulation_check.h"
#include "analysis/checks/parts/insulation_trend.h"

#include <gmock/gmock.h>

#include <cmath>

#include "core/base/text.h"
#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::AnyOf;
using ::testing::Contains;
using testing::Formula;
using ::testing::HasSubstr;
using testing::InputBuilder;
using testing::SettingsOf;

// A reading in kohm with the noise of a real one.
Formula Noisy(const Formula& kohm) {
  return [kohm](double t) { return kohm(t) * (1 + 0.004 * std::sin(17 * t)); };
}

CheckResult Check(const Formula& kohm, double length_s = 300) {
  InputBuilder input(length_s);
  input.Scalar("isolation resistance", 1, 0.5, Noisy(kohm));
  return input.Run("insulation", SettingsOf({"pack.working_voltage=450"}));
}

TEST(InsulationCheck, LimitsOfUnR100) {
  // 450 V: 45 kohm and 225 kohm.
  EXPECT_EQ(Check([](double) { return 40; }).status, CheckStatus::kOutside);
  EXPECT_EQ(Check([](double) { return 100; }).status, CheckStatus::kLookCloser);
  EXPECT_EQ(Check([](double) { return 240; }).status, CheckStatus::kLookCloser);  // monitor: 15 %
  const CheckResult good = Check([](double) { return 900; });
  EXPECT_EQ(good.status, CheckStatus::kWithin);
  EXPECT_EQ(good.summary, "1992 ohm/V is above 500 ohm/V");
  EXPECT_NEAR(good.FindFigure("resistance")->value, 900, 5);
}

// The same limits at other working voltages: kohm at 100 and at 500 ohm/V (UN R100, looked up).
TEST(InsulationCheck, LimitsByWorkingVoltage) {
  const double rows[][3] = {{400, 40, 200}, {450, 45, 225}, {800, 80, 400}, {850, 85, 425}};
  for (const auto& row : rows) {
    InputBuilder input(300);
    input.Scalar("isolation resistance", 1, 0.5, Noisy([](double) { return 900; }));
    const CheckResult result =
        input.Run("insulation", SettingsOf({"pack.working_voltage=" + FormatDouble(row[0])}));
    ASSERT_EQ(result.curves.size(), 1U);
    ASSERT_EQ(result.curves[0].levels.size(), 2U);
    EXPECT_NEAR(result.curves[0].levels[0].y, row[1], 1e-9);
    EXPECT_NEAR(result.curves[0].levels[1].y, row[2], 1e-9);
  }
}

TEST(InsulationCheck, FallingIsSeenBeforeALimitIsReached) {
  const CheckResult result = Check([](double t) { return 2000 * std::pow(10, -t / 1200); });
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("resistance fell by"));
  const CheckResult rising = Check([](double t) { return 600 * std::pow(10, t / 1200); });
  EXPECT_EQ(rising.status, CheckStatus::kWithin);
  EXPECT_THAT(rising.findings, Contains(HasSubstr("resistance rose by")));
}

// Few readings never say that all is well, but they can accuse. 450 V: 45 and 225 kohm.
TEST(InsulationCheck, FewSettledReadings) {
  const auto few = [](double kohm, double length_s) {
    return Check([kohm](double) { return kohm; }, length_s);
  };
  const CheckResult bad = few(20, 35);
  EXPECT_EQ(bad.status, CheckStatus::kOutside);
  EXPECT_THAT(bad.summary, HasSubstr("settled readings, none above"));
  EXPECT_EQ(few(20, 31).status, CheckStatus::kLookCloser) << "one or two may be a disturbance";
  EXPECT_EQ(few(100, 35).status, CheckStatus::kLookCloser);
  EXPECT_EQ(few(900, 35).status, CheckStatus::kCannotTell);
  EXPECT_THAT(few(900, 35).missing, Contains(HasSubstr("10 settled readings")));
}

TEST(InsulationCheck, OneLowReadingAmongFewIsNotPassedOver) {
  const CheckResult result = Check([](double t) { return t > 33 && t < 34.5 ? 30 : 900; }, 36);
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("too few to be certain, too low to pass over"));
}

TEST(InsulationCheck, ReadingsBeforeTheySettled) {
  const CheckResult low = Check([](double) { return 20; }, 20);
  EXPECT_EQ(low.status, CheckStatus::kLookCloser);
  EXPECT_THAT(low.summary, HasSubstr("before they settled"));
  EXPECT_EQ(Check([](double t) { return t < 10 ? 20 : 900; }, 20).status, CheckStatus::kCannotTell);
}

TEST(InsulationCheck, WithoutAWorkingVoltage) {
  const auto check = [](double kohm) {
    InputBuilder input(120);
    input.Scalar("isolation resistance", 1, 0.5, Noisy([kohm](double) { return kohm; }));
    return input.Run("insulation");
  };
  EXPECT_EQ(check(4).status, CheckStatus::kOutside) << "100 ohm/V at 60 V is 6 kohm";
  EXPECT_EQ(check(20).status, CheckStatus::kLookCloser);
  EXPECT_EQ(check(300).status, CheckStatus::kCannotTell);
}

TEST(InsulationCheck, SettlingIsNoFault) {
  // Low for ten seconds after the contactors close at 100 s.
  InputBuilder input(300);
  input
      .Scalar("isolation resistance", 1, 0.5,
              Noisy([](double t) { return t > 100 && t < 110 ? 30 : 900; }))
      .States("contactor state", {"open", "precharge", "closed"}, 0.1,
              [](double t) { return t < 100 ? 0 : 2; });
  const CheckResult result = input.Run("insulation", SettingsOf({"pack.working_voltage=450"}));
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_THAT(result.windows, Contains(::testing::Field(&Window::used, false)));
}

TEST(InsulationCheck, IntermittentDrop) {
  const CheckResult result =
      Check([](double t) { return std::fmod(t, 50) > 48.5 ? 240.0 : 503.5; });
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("single readings drop to"));
}

// 5 % of the readings at 372 ohm/V, in runs of 5 s and at once.
TEST(InsulationCheck, AtTimesBelowTheLimit) {
  const CheckResult runs =
      Check([](double t) { return std::fmod(t, 100) > 94.5 ? 167.4 : 260.0 * 2; }, 630);
  EXPECT_EQ(runs.status, CheckStatus::kLookCloser);
  EXPECT_THAT(runs.findings.empty() ? runs.summary : runs.summary + runs.findings[0],
              HasSubstr("at times it is as low as 37"));
  EXPECT_EQ(Check([](double t) { return t > 300 && t < 335 ? 167.4 : 520; }, 630).status,
            CheckStatus::kLookCloser);
}

// A self-test after closing, when no contactor state is sent: once, and short.
TEST(InsulationCheck, OneSelfTestIsNoLeak) {
  EXPECT_EQ(Check([](double t) { return t > 100 && t < 112 ? 150 : 5000; }, 630).status,
            CheckStatus::kWithin);
}

// The check by itself: cells and pack voltage that do not add up are held against each other
// before.
CheckResult OfCells(std::size_t cells, double kohm) {
  InputBuilder input(300);
  input.Scalar("isolation resistance", 1, 0.5, Noisy([kohm](double) { return kohm; }))
      .Scalar("pack voltage", 1, 0.1, [](double) { return 350; })
      .Each("cell voltages", cells, 1, 0.001, [](std::size_t, double) { return 3.646; });
  const CheckSettings settings;
  CheckDraft draft(input.input(), settings);
  CheckInsulation(draft);
  return draft.Take();
}

TEST(InsulationCheck, HalfTheCellsDescribed) {
  const CheckResult result = OfCells(48, 150);
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_NEAR(result.FindFigure("resistance_per_volt")->value, 372, 3);
}

TEST(InsulationCheck, TwoStringsListed) {
  EXPECT_NEAR(OfCells(192, 300).FindFigure("working_voltage")->value, 403.2, 1e-9);
}

// 450 V: 35 kohm are 78 ohm/V. A good value that never changes tells nothing.
TEST(InsulationCheck, AConstantReading) {
  const auto constant = [](double kohm) {
    InputBuilder input(300);
    input.Scalar("isolation resistance", 1, 0.5, [kohm](double) { return kohm; });
    return input.Run("insulation", SettingsOf({"pack.working_voltage=450"}));
  };
  EXPECT_EQ(constant(35).status, CheckStatus::kOutside);
  EXPECT_EQ(constant(412.5).status, CheckStatus::kCannotTell);
  EXPECT_THAT(constant(412.5).summary, HasSubstr("an old value"));
  EXPECT_EQ(constant(5000).status, CheckStatus::kWithin) << "at its ceiling: at least that";
}

TEST(InsulationCheck, WarmingIsNoLeak) {
  const auto run = [](double halvings, double kelvin) {
    InputBuilder input(1000);
    input.Scalar("isolation resistance", 1, 0.5,
                 Noisy([=](double t) { return 4000 * std::exp2(-halvings * t / 1000); }));
    input.Each("cell temperatures", 4, 1, 0.5,
               [=](std::size_t, double t) { return 20 + kelvin * t / 1000; });
    return input.Run("insulation", SettingsOf({"pack.working_voltage=450"}));
  };
  EXPECT_EQ(run(0.8, 10).status, CheckStatus::kWithin) << run(0.8, 10).summary;
  EXPECT_THAT(run(0.8, 10).findings, Contains(HasSubstr("warming by 10 K")));
  EXPECT_EQ(run(0.8, 0).status, CheckStatus::kLookCloser);
  EXPECT_EQ(run(1.6, 5).status, CheckStatus::kLookCloser);
}

TEST(InsulationCheck, ClosingIsNoTrend) {
  InputBuilder input(600);
  input.Scalar("isolation resistance", 1, 0.5, Noisy([](double t) { return t < 300 ? 2500 : 900; }))
      .States("contactor state", {"open", "precharge", "closed"}, 0.1,
              [](double t) { return t < 300 ? 0 : 2; });
  EXPECT_EQ(input.Run("insulation", SettingsOf({"pack.working_voltage=450"})).status,
            CheckStatus::kWithin);
}

TEST(InsulationCheck, NeverClosedLeavesTheVehicleOut) {
  InputBuilder input(300);
  input.Scalar("isolation resistance", 1, 0.5, Noisy([](double) { return 900; }))
      .States("contactor state", {"open", "precharge", "closed"}, 0.1, [](double) { return 0; });
  EXPECT_THAT(input.Run("insulation", SettingsOf({"pack.working_voltage=450"})).summary,
              HasSubstr("the vehicle's side was not measured"));
}

TEST(InsulationCheck, LeakIsPlacedByTheHalfVoltages) {
  InputBuilder input(300);
  input.Scalar("isolation resistance", 1, 0.5, Noisy([](double) { return 141.5; }))
      .Scalar("negative voltage to body", 1, 0.1, [](double) { return 286.478; })
      .Scalar("positive voltage to body", 1, 0.1, [](double) { return 113.522; })
      .Each("cell voltages", 96, 1, 0.001, [](std::size_t, double) { return 4.167; });
  const CheckResult result = input.Run("insulation");
  EXPECT_NEAR(result.FindFigure("leak_place")->value, 0.7162, 5e-4);
  EXPECT_THAT(result.findings, Contains(HasSubstr("near cell 69")));
  EXPECT_NEAR(result.FindFigure("working_voltage")->value, 403.2, 1e-9);
}

TEST(InsulationCheck, LeakOnTheVehiclesSide) {
  InputBuilder input(400);
  input.Scalar("isolation resistance", 1, 0.5, Noisy([](double t) { return t < 200 ? 2500 : 900; }))
      .States("contactor state", {"open", "precharge", "closed"}, 0.1,
              [](double t) { return t < 200 ? 0 : 2; });
  const CheckResult result = input.Run("insulation", SettingsOf({"pack.working_voltage=450"}));
  EXPECT_THAT(result.findings, Contains(HasSubstr("the leak is on the vehicle's side")));
}

TEST(InsulationCheck, TooShortToTell) {
  const CheckResult result = Check([](double) { return 900; }, 20);
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_THAT(result.summary, HasSubstr("record longer without switching anything"));
}

TEST(InsulationCheck, WithoutTheRole) {
  InputBuilder input(20);
  const CheckResult result = input.Run("insulation");
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_EQ(
      result.summary,
      "missing: a signal with role \"isolation resistance\" (the definition files have none)");
}

TEST(InsulationCheck, TrendOverDays) {
  Track days;
  const double kohm[] = {310, 355, 340, 420, 515, 560, 700, 905};
  const double at[] = {0, 1, 2, 3, 5, 6, 8, 10};
  for (int i = 0; i < 8; ++i) days.Add(86400 * at[i], kohm[i]);
  const auto trend = TrendOf(days, 100);
  ASSERT_TRUE(trend);
  EXPECT_NEAR(trend->per_second * 86400, 0.0444000, 5e-6);
}

// 440 kohm with the vehicle's side, 1200 without: five changes are no drops of one circuit.
TEST(InsulationCheck, TheVehiclesSideIsNoDrop) {
  InputBuilder input(1200);
  const auto closed = [](double t) { return std::fmod(t, 240) > 180; };
  input
      .Scalar("isolation resistance", 8, 0.5,
              Noisy([&](double t) { return closed(t) ? 440 : 1200; }))
      .States("contactor state", {"open", "closed"}, 0.1,
              [&](double t) { return closed(t) ? 1 : 0; });
  const CheckResult result = input.Run("insulation", SettingsOf({"pack.working_voltage=450"}));
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
}

}  // namespace
}  // namespace proofdrive::analysis
