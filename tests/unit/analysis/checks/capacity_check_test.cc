// Charge against rested voltage: NMC811 against graphite, J. Electrochem. Soc. 167 (2020) 080534
// (looked up); worked values calculated from it.
#include "analysis/checks/capacity_check.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>

#include "analysis/physics/open_curves.h"
#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using testing::Formula;
using ::testing::HasSubstr;
using testing::InputBuilder;
using testing::SettingsOf;

constexpr double kHour = 3600;

double RestedVolt(double charge) {
  static const OpenCurve curve = *CurveOfText("nmc811-silicon");
  return curve.VoltAt(charge);
}

// Amps over time and the charge of each cell (0..1) over time, eight cells, every 2 s.
CheckResult Check(double hours, const Formula& amps,
                  const std::function<double(std::size_t, double)>& charge,
                  const std::vector<std::string>& settings) {
  InputBuilder input(hours * kHour);
  input.Scalar("pack current", 2, 0.1, amps)
      .Scalar("pack voltage", 2, 0.01,
              [&](double t) { return 8 * RestedVolt(charge(0, t)) - 0.01 * amps(t); })
      .Each("cell voltages", 8, 2, 0.0005,
            [&](std::size_t i, double t) { return RestedVolt(charge(i, t)); });
  return input.Run("capacity", SettingsOf(settings));
}

// Rest 1 h, 40 A for `out_h` hours, rest 1 h. A pack of `ah`.
CheckResult Discharge(double out_h, double ah, const std::vector<std::string>& more = {}) {
  std::vector<std::string> settings = {"pack.chemistry=nmc", "pack.capacity=100", "rest.hours=0.9"};
  if (more.empty()) settings.push_back("pack.curve=nmc811-silicon");
  settings.insert(settings.end(), more.begin(), more.end());
  const double end = (1 + out_h) * kHour;
  return Check(
      2 + out_h, [=](double t) { return t >= kHour && t < end ? 40 : 0; },
      [=](std::size_t, double t) {
        return 0.82 - 40 * std::clamp(t - kHour, 0.0, out_h * kHour) / kHour / ah;
      },
      settings);
}

TEST(CapacityCheck, CountedBetweenTwoRests) {
  const CheckResult good = Discharge(1.25, 100);  // 50 Ah, 50 %
  EXPECT_EQ(good.status, CheckStatus::kWithin) << good.summary;
  EXPECT_NEAR(good.FindFigure("charge_moved")->value, 50, 0.05);
  EXPECT_NEAR(good.FindFigure("charge_swing")->value, 50, 0.5);
  EXPECT_NEAR(good.FindFigure("capacity")->value, 100, 1);
  // sqrt((gain 0.5 %)^2 + (0.15 A x 2.25 h / 50 Ah)^2 + (sqrt2 x 1.1 % / 50 %)^2) = 3.2 %,
  // where 1.1 % are 1 % of the curve and 3.6 mV at 9 mV/% and more.
  EXPECT_NEAR(*good.FindFigure("capacity")->uncertainty, 3.1, 0.15);
  EXPECT_EQ(Discharge(0.9, 72).status, CheckStatus::kLookCloser);
  EXPECT_EQ(Discharge(0.8, 60).status, CheckStatus::kOutside);
}

TEST(CapacityCheck, SmallSwingsAreRefused) {
  const CheckResult result = Discharge(0.5, 100);  // 20 %
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_EQ(result.FindFigure("capacity"), nullptr);
  EXPECT_THAT(result.missing, Contains(HasSubstr("small ones give no capacity")));
}

TEST(CapacityCheck, ChemistryDecides) {
  EXPECT_THAT(Discharge(1.25, 100, {"pack.chemistry=lfp"}).missing,
              Contains(HasSubstr("iron phosphate has a plateau")));
  EXPECT_THAT(Discharge(1.25, 100, {"pack.chemistry=unknown"}).missing,
              Contains(HasSubstr("pack.curve")));
  EXPECT_THAT(Discharge(1.25, 100, {"rest.hours=3"}).missing, Contains(HasSubstr("two rests")));
}

// A pack that follows one published curve, between two rests at 80 and 30 % of its charge.
CheckResult Following(const std::string& curve_name, double ah,
                      const std::vector<std::string>& settings) {
  const OpenCurve curve = *CurveOfText(curve_name);
  const double out_h = 0.5 * ah / 40;
  InputBuilder input((2 + out_h) * kHour);
  const auto charge = [=](double t) {
    return 0.8 - 40 * std::clamp(t - kHour, 0.0, out_h * kHour) / kHour / ah;
  };
  const auto amps = [=](double t) { return t >= kHour && t < (1 + out_h) * kHour ? 40.0 : 0.0; };
  input.Scalar("pack current", 2, 0.1, amps)
      .Scalar("pack voltage", 2, 0.01,
              [&](double t) { return 8 * curve.VoltAt(charge(t)) - 0.01 * amps(t); })
      .Each("cell voltages", 8, 2, 0.001,
            [&](std::size_t, double t) { return curve.VoltAt(charge(t)); });
  std::vector<std::string> all = {"pack.capacity=100", "rest.hours=0.9"};
  all.insert(all.end(), settings.begin(), settings.end());
  return input.Run("capacity", SettingsOf(all));
}

// With one curve for all, a pack of 532 at 73 % read 103 %, a new one 139 %.
TEST(CapacityCheck, AnotherCellIsNoOtherCapacity) {
  for (const char* curve : {"nmc111", "nmc532", "nmc622", "nmc811", "nmc811-silicon"}) {
    SCOPED_TRACE(curve);
    const CheckResult unnamed = Following(curve, 73, {"pack.chemistry=nmc"});
    EXPECT_NE(unnamed.status, CheckStatus::kWithin) << unnamed.summary;
    const CheckResult fresh = Following(curve, 100, {"pack.chemistry=nmc"});
    EXPECT_NE(fresh.status, CheckStatus::kOutside) << fresh.summary;
    EXPECT_NE(fresh.status, CheckStatus::kLookCloser) << fresh.summary;
    const Figure* held = fresh.FindFigure("capacity");
    ASSERT_NE(held, nullptr);
    EXPECT_NEAR(held->value, 100, 2 * *held->uncertainty);
    const std::string named = "pack.curve=" + std::string(curve);
    EXPECT_EQ(Following(curve, 73, {named}).status, CheckStatus::kLookCloser);
    EXPECT_EQ(Following(curve, 60, {named}).status, CheckStatus::kOutside);
    EXPECT_EQ(Following(curve, 100, {named}).status, CheckStatus::kWithin);
  }
}

TEST(CapacityCheck, ACurveGivenAsATable) {
  const std::string table =
      "pack.curve=0 2.81, 5 3.463, 10 3.511, 20 3.585, 30 3.639, 40 3.671, 50 3.716, 60 3.797, "
      "70 3.880, 80 3.971, 90 4.077, 100 4.2";
  const CheckResult result = Following("nmc532", 100, {table});
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_NEAR(result.FindFigure("capacity")->value, 100, 3);
}

TEST(CapacityCheck, IronPhosphateOnItsPlateauCannotBeTold) {
  const auto check = [](const std::vector<std::string>& settings) {
    InputBuilder input(3.25 * kHour);
    input
        .Scalar("pack current", 2, 0.1,
                [](double t) { return t >= kHour && t < 2.25 * kHour ? 40.0 : 0.0; })
        .Each("cell voltages", 8, 2, 0.001,
              [](std::size_t, double t) { return t < kHour ? 3.33 : 3.28; });
    return input.Run("capacity", SettingsOf(settings));
  };
  EXPECT_EQ(check({"pack.capacity=100", "rest.hours=0.9", "pack.chemistry=lfp"}).status,
            CheckStatus::kCannotTell);
  const CheckResult unknown = check({"pack.capacity=100", "rest.hours=0.9"});
  EXPECT_EQ(unknown.status, CheckStatus::kCannotTell);
  EXPECT_THAT(unknown.missing, Contains(HasSubstr("may be iron phosphate")));
}

// Parked, the network sends once in ten minutes: no current flows that it would not send.
TEST(CapacityCheck, ASilentParkedNetworkIsARest) {
  const OpenCurve curve = *CurveOfText("nmc622");
  InputBuilder input(3.25 * kHour);
  const auto charge = [](double t) {
    return 0.8 - 0.4 * std::clamp(t - kHour, 0.0, 1.25 * kHour) / kHour;
  };
  input
      .Scalar("pack current", 1, 0.1,
              [](double t) { return t >= kHour && t < 2.25 * kHour ? 40.0 : 0.0; })
      .Each("cell voltages", 8, 2, 0.001,
            [&](std::size_t, double t) { return curve.VoltAt(charge(t)); });
  for (RoleSignal& signal : input.input().signals) {
    for (Track& track : signal.elements) {
      Track kept;
      for (std::size_t i = 0; i < track.size(); ++i) {
        const double t = track.time_s[i];
        const bool driven = t > kHour - 5 && t < 2.25 * kHour + 5;
        if (driven || std::fmod(t, 600) < 15) kept.Add(t, track.value[i]);
      }
      track = kept;
    }
  }
  const CheckResult result = input.Run(
      "capacity", SettingsOf({"pack.curve=nmc622", "pack.capacity=100", "rest.hours=0.8"}));
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_NEAR(result.FindFigure("capacity")->value, 100, 3);
}

TEST(CapacityCheck, WeakestCellIsNamed) {
  const double end = 2.25 * kHour;
  const CheckResult result = Check(
      3.25, [=](double t) { return t >= kHour && t < end ? 40 : 0; },
      [](std::size_t i, double t) {
        const double ah = i == 5 ? 80 : 100;
        return 0.82 - 40 * std::clamp(t - kHour, 0.0, 1.25 * kHour) / kHour / ah;
      },
      {"pack.curve=nmc811-silicon", "pack.capacity=100", "rest.hours=0.9"});
  const Figure* weakest = result.FindFigure("weakest_cell_capacity");
  ASSERT_NE(weakest, nullptr);
  EXPECT_NEAR(weakest->value, 80, 1);
  EXPECT_THAT(weakest->detail, HasSubstr("cell 6"));
}

// Rest, 40 A in for an hour, rest, 40 A out until the charge is the same, rest; of 81.6 Ah in 81.2
// come back (worked example, scaled).
TEST(CapacityCheck, ChargeEfficiencyBetweenEqualRests) {
  const double kBack = 81.2 / 81.6;
  const auto amps = [=](double t) {
    if (t >= kHour && t < 2 * kHour) return -40.0;
    return t >= 3 * kHour && t < 4 * kHour ? 40 * kBack : 0.0;
  };
  const auto charge = [](std::size_t, double t) {
    return 0.4 + 0.4 * std::clamp(t - kHour, 0.0, kHour) / kHour -
           0.4 * std::clamp(t - 3 * kHour, 0.0, kHour) / kHour;
  };
  const CheckResult result =
      Check(5, amps, charge, {"pack.curve=nmc811-silicon", "pack.capacity=100", "rest.hours=0.9"});
  const Figure* efficiency = result.FindFigure("charge_efficiency");
  ASSERT_NE(efficiency, nullptr);
  EXPECT_NEAR(efficiency->value, 99.51, 0.3);  // current rounded to 0.1 A
  EXPECT_NEAR(*efficiency->uncertainty, 100 * std::sqrt(2.0) * 0.01 * 100 / 40, 0.05);
  EXPECT_EQ(Discharge(1.25, 100).FindFigure("charge_efficiency"), nullptr) << "never charged";
}

TEST(CapacityCheck, DriveEnergy) {
  // An hour at 60 km/h: 30 A out for 50 min, 6 A back for 10; 0.05 ohm.
  const auto amps = [](double t) { return t < 3000 ? 30.0 : -6.0; };
  InputBuilder input(kHour);
  input.Scalar("pack current", 1, 0.1, amps)
      .Scalar("pack voltage", 1, 0.1, [=](double t) { return 360 - 0.05 * amps(t); })
      .Scalar("vehicle speed", 1, 0.1, [](double) { return 60; })
      .Each("cell voltages", 96, 10, 0.001,
            [=](std::size_t, double t) { return (360 - 0.05 * amps(t)) / 96; });
  const CheckResult result = input.Run("capacity");
  for (const char* figure : {"distance", "drive_energy", "regenerated"}) {
    ASSERT_NE(result.FindFigure(figure), nullptr) << figure;
  }
  const double out_wh = 30 * 358.5 * 3000 / 3600;
  const double back_wh = 6 * 360.3 * 600 / 3600;
  EXPECT_NEAR(result.FindFigure("distance")->value, 60, 0.1);
  EXPECT_NEAR(result.FindFigure("drive_energy")->value, (out_wh - back_wh) / 60, 0.1);
  EXPECT_NEAR(result.FindFigure("regenerated")->value, 100 * back_wh / out_wh, 0.02);
}

}  // namespace
}  // namespace proofdrive::analysis
