#include "analysis/checking/plausibility.h"

#include <gmock/gmock.h>

#include <cmath>

#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::AllOf;
using ::testing::Each;
using ::testing::HasSubstr;
using testing::InputBuilder;

// Discharge of 0 .. 100 A; 0.1 ohm.
double Amps(double t) { return 50 + 50 * std::sin(t / 5); }
double Volts(double t) { return 380 - 0.1 * Amps(t); }

std::string Text(const CheckResult& result) {
  std::string text = result.summary;
  for (const std::string& finding : result.findings) text += "\n" + finding;
  return text;
}

TEST(Plausibility, HealthySignals) {
  InputBuilder input(120);
  input.Scalar("pack voltage", 0.1, 0.1, Volts).Scalar("pack current", 0.1, 0.1, Amps);
  const CheckResult result = input.Run("signals");
  EXPECT_EQ(result.status, CheckStatus::kWithin) << Text(result);
  EXPECT_LT(result.FindFigure("current_sign")->value, -0.9);
}

TEST(Plausibility, WrongSignOfCurrentIsFoundAndTurned) {
  InputBuilder input(120);
  input.Scalar("pack voltage", 0.1, 0.1, Volts).Scalar("pack current", 0.1, 0.1, [](double t) {
    return -Amps(t);
  });
  input.last().positive = "discharge";
  const CheckResult result = input.Run("signals");
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("the sign of pack_current is wrong"));
  EXPECT_NEAR(input.input().TrackOf("pack current").value[0], Amps(0), 0.1);
}

TEST(Plausibility, StatedSignIsUsed) {
  InputBuilder input(120);
  input.Scalar("pack voltage", 0.1, 0.1, Volts).Scalar("pack current", 0.1, 0.1, [](double t) {
    return -Amps(t);
  });
  input.last().positive = "charge";
  EXPECT_EQ(input.Run("signals").status, CheckStatus::kWithin);
  EXPECT_NEAR(input.input().TrackOf("pack current").value[0], Amps(0), 0.1);
}

// A scale that is off by ten leaves nothing within the defined range: that is named, not "silent".
TEST(Plausibility, OutsideItsRangeAllTheTime) {
  InputBuilder input(120);
  input.Scalar("pack current", 0.1, 0.1, Amps).Each("cell voltages", 6, 1, 0.001, [](auto, double) {
    return 3.7;
  });
  for (Track& cell : input.last().elements) cell = Track();
  input.last().out_of_range = 726;
  const CheckResult result = input.Run("signals");
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_EQ(result.summary,
            "cell_voltages is outside the range of its definition in all its 726 values: unit, "
            "scale, bytes or the range itself are off; no check uses it");
  const CheckResult balance = input.Run("balance");
  EXPECT_EQ(balance.status, CheckStatus::kCannotTell);
  EXPECT_THAT(balance.summary, HasSubstr("is outside the range of its definition"));
}

TEST(Plausibility, MostlyOutsideItsRange) {
  InputBuilder input(120);
  input.Scalar("supply voltage", 1, 0.1, [](double) { return 12.6; });
  input.last().out_of_range = 500;
  const CheckResult result = input.Run("signals");
  EXPECT_EQ(result.status, CheckStatus::kWithin);
  EXPECT_THAT(Text(result), HasSubstr("in 500 values, more than in it"));
}

TEST(Plausibility, FrozenCurrent) {
  InputBuilder input(120);
  input.Scalar("pack voltage", 0.1, 0.1, Volts).Scalar("pack current", 0.1, 0.1, [](double) {
    return 12.3;
  });
  const CheckResult result = input.Run("signals");
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_EQ(result.summary,
            "pack_current never changes although pack_voltage moves: frozen; no check uses it");
  EXPECT_EQ(input.input().Find("pack current"), nullptr);
}

TEST(Plausibility, ConstantCurrentWithConstantVoltageIsNotFrozen) {
  InputBuilder input(120);
  input.Scalar("pack voltage", 0.1, 0.1, [](double) { return 380; })
      .Scalar("pack current", 0.1, 0.1, [](double) { return 0; });
  EXPECT_EQ(input.Run("signals").status, CheckStatus::kWithin);
}

TEST(Plausibility, OneFrozenCellIsDroppedTheOthersStay) {
  InputBuilder input(120);
  input.Each("cell voltages", 6, 0.5, 0.001,
             [](std::size_t i, double t) { return i == 2 ? 3.7 : 3.7 + 0.05 * std::sin(t / 9); });
  const CheckResult result = input.Run("signals");
  EXPECT_EQ(result.summary,
            "cell_voltages[3] never changes although the others move: frozen; no check uses it");
  EXPECT_TRUE(input.input().signals[0].elements[2].empty());
  EXPECT_FALSE(input.input().signals[0].elements[3].empty());
}

TEST(Plausibility, JumpingTemperature) {
  InputBuilder input(120);
  input.Scalar("coolant inlet temperature", 0.2, 0.1,
               [](double t) { return std::fmod(t, 20) < 0.15 ? 80 : 21; });
  const CheckResult result = input.Run("signals");
  EXPECT_THAT(result.summary, HasSubstr("jumps and comes straight back"));
}

TEST(Plausibility, LargestNumberMeansNoValue) {
  InputBuilder input(120);
  input.Scalar("supply voltage", 0.1, 0.01, [](double) { return 12.0; });
  input.last().largest_raw = 12.0;
  EXPECT_THAT(input.Run("signals").summary, HasSubstr("sends its largest number"));
}

TEST(Plausibility, StuckAtTheEndOfItsRange) {
  InputBuilder input(120);
  input.Scalar("pack current", 0.1, 0.1, [](double) { return 600; });
  input.last().range_low = -600;
  input.last().range_high = 600;
  EXPECT_THAT(input.Run("signals").summary, HasSubstr("is stuck at the end of its range"));
}

TEST(Plausibility, WrongUnitsAreNamed) {
  InputBuilder input(120);
  input.Scalar("supply voltage", 0.1, 0.1, [](double) { return 12.0; });
  input.last().unit = "A";
  input.last().unit_fits = false;
  EXPECT_THAT(input.Run("signals").summary, HasSubstr("has the unit \"A\""));
  InputBuilder scaled(120);
  scaled.Each("cell voltages", 3, 0.5, 1, [](std::size_t, double) { return 3700; });
  EXPECT_THAT(Text(scaled.Run("signals")), HasSubstr("unit or scale of its definition is off"));
  InputBuilder sum(120);
  sum.Each("cell voltages", 96, 0.5, 0.001, [](std::size_t, double) { return 3.7; })
      .Scalar("pack voltage", 0.1, 0.01, [](double) { return 35.5; });
  EXPECT_EQ(sum.Run("signals").status, CheckStatus::kWithin);  // half a string is no unit
}

TEST(Plausibility, AConstantInsulationReadingStays) {
  InputBuilder input(200);
  input.Scalar("isolation resistance", 1, 0.5, [](double) { return 35; });
  EXPECT_EQ(input.Run("signals").status, CheckStatus::kWithin);
}

TEST(Plausibility, AMonitorAtItsCeilingIsNotStuck) {
  InputBuilder input(200);
  input.Scalar("isolation resistance", 1, 0.5, [](double) { return 5000; });
  input.last().range_high = 5000;
  EXPECT_EQ(input.Run("signals").status, CheckStatus::kWithin);
}

// Cells sent every 5 s: the load comes and goes in between.
TEST(Plausibility, SeldomReadCellsFollowTheLoad) {
  const auto run = [](bool jump) {
    InputBuilder input(1000);
    input.Each("cell voltages", 6, 5, 0.001, [=](std::size_t i, double t) {
      const double load = std::fmod(t, 10) < 1 ? 0.35 : 0;
      return 3.8 - load + (jump && i == 2 && std::fmod(t, 250) == 50 ? 0.9 : 0);
    });
    return input.Run("signals");
  };
  EXPECT_EQ(run(false).status, CheckStatus::kWithin) << run(false).summary;
  EXPECT_THAT(run(true).summary, HasSubstr("cell_voltages[3] jumps and comes straight back"));
}

// One reading of twelve jumps: they must not pass for the swing of the load.
TEST(Plausibility, APackVoltageThatJumpsOftenIsHeldAgainstTheCells) {
  InputBuilder input(1200);
  input
      .Each("cell voltages", 100, 5, 0.001,
            [](std::size_t, double t) { return 3.7 - (std::fmod(t, 20) < 10 ? 0.05 : 0); })
      .Scalar("pack voltage", 1, 0.1, [](double t) {
        return 370 - (std::fmod(t, 20) < 10 ? 5 : 0) + (std::fmod(t, 12) < 0.5 ? 80 : 0);
      });
  EXPECT_THAT(input.Run("signals").summary, HasSubstr("pack_voltage jumps"));
}

TEST(Plausibility, OneCellNearZeroIsNoScale) {
  InputBuilder one(120);
  one.Each("cell voltages", 12, 1, 0.001,
           [](std::size_t i, double t) { return i == 3 ? 0.2 : 3.7 + 0.05 * std::sin(t / 9); });
  EXPECT_EQ(one.Run("signals").status, CheckStatus::kWithin);
  InputBuilder all(120);
  all.Each("cell voltages", 12, 1, 0.0001, [](std::size_t, double) { return 0.0037; });
  EXPECT_THAT(all.Run("signals").summary, HasSubstr("unit or scale"));
}

TEST(Plausibility, NothingToLookAt) {
  InputBuilder input(120);
  const CheckResult result = input.Run("signals");
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_EQ(result.missing[0], "a definition file whose signals have roles");
}

// Ten minutes of driving beside a night: the swing of the drive must not vanish among its readings.
TEST(Plausibility, ANightBesideAShortDriveIsNoJump) {
  const auto driving = [](double t) { return t > 60 && t < 660; };
  const auto run = [&](bool jump) {
    InputBuilder input(40000);
    input
        .Scalar("pack current", 1, 0.1,
                [&](double t) {
                  return driving(t) && std::fmod(t, 10) < 1 ? 200.0 : driving(t) ? 5.0 : 0.2;
                })
        .Each("cell voltages", 6, 5, 0.001, [&](std::size_t i, double t) {
          const double load = driving(t) && std::fmod(t, 10) < 1 ? 0.35 : 0;
          return 3.8 - load + (jump && i == 2 && std::fmod(t, 2500) == 50 ? 0.9 : 0);
        });
    return input.Run("signals");
  };
  EXPECT_EQ(run(false).status, CheckStatus::kWithin) << run(false).summary;
  EXPECT_THAT(run(true).summary, HasSubstr("cell_voltages[3] jumps and comes straight back"));
}

}  // namespace
}  // namespace proofdrive::analysis
