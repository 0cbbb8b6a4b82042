// Worked example: 64.0 to 61.5 % in 51 h, 60 kWh usable: 1.18 % a day, 29.4 W (calculated).
#include "analysis/checks/standby_check.h"

#include <gmock/gmock.h>

#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using testing::Formula;
using ::testing::HasSubstr;
using testing::InputBuilder;
using testing::SettingsOf;

CheckResult Check(
    double hours, double step, const Formula& charge,
    const Formula& closed = [](double) { return 0; }) {
  InputBuilder input(hours * 3600);
  input.Scalar("state of charge", 20, step, charge)
      .States("contactor state", {"open", "closed"}, 20, closed);
  return input.Run("standby", SettingsOf({"pack.usable_energy=60"}));
}

TEST(StandbyCheck, WorkedLoss) {
  const CheckResult result = Check(51, 0.01, [](double t) { return 64.0 - 2.5 * t / (51 * 3600); });
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_NEAR(result.FindFigure("standby_loss")->value, 1.18, 0.01);
  EXPECT_NEAR(result.FindFigure("standby_power")->value, 29.4, 0.3);
}

TEST(StandbyCheck, MuchIsFound) {
  const CheckResult result = Check(24, 0.1, [](double t) { return 64.0 - 6 * t / 86'400; });
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("standing takes 6"));
}

TEST(StandbyCheck, TooCoarseToTell) {
  // Half per cent steps over 8 h: the uncertainty reaches across the limit.
  const CheckResult result = Check(9, 1.0, [](double t) { return 64.0 - 3 * t / 86'400; });
  EXPECT_EQ(result.status, CheckStatus::kCannotTell) << result.summary;
  EXPECT_THAT(result.missing, Contains(HasSubstr("a longer pause")));
}

TEST(StandbyCheck, ADropRightAfterParkingIsNoLoss) {
  const CheckResult result = Check(24, 0.1, [](double t) { return t < 1800 ? 64 : 61; });
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
}

TEST(StandbyCheck, DrivingIsNotStanding) {
  const CheckResult result = Check(
      24, 0.1, [](double t) { return 64.0 - 6 * t / 86'400; }, [](double) { return 1; });
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_THAT(result.missing, Contains(HasSubstr("the car standing for 6 h")));
}

// 40 kW for an hour in the middle of a day, and then charging: neither is a loss while standing.
TEST(StandbyCheck, WithoutContactorsSpeedAndCurrentTell) {
  const auto charge = [](double t) {
    const double h = t / 3600;
    return h < 8    ? 80.0
           : h < 9  ? 80 - 57 * (h - 8)
           : h < 17 ? 23.0
           : h < 20 ? 23 + 15 * (h - 17)
                    : 68;
  };
  const auto driving = [](double t) { return t > 8 * 3600 && t < 9 * 3600; };
  InputBuilder none(20 * 3600);
  none.Scalar("state of charge", 20, 0.1, charge);
  const CheckResult unknown = none.Run("standby");
  EXPECT_EQ(unknown.status, CheckStatus::kCannotTell) << unknown.summary;
  EXPECT_THAT(unknown.summary, HasSubstr("what tells that the car stands"));
  InputBuilder speed(20 * 3600);
  speed.Scalar("state of charge", 20, 0.1, charge).Scalar("vehicle speed", 20, 0.1, [&](double t) {
    return driving(t) ? 50 : 0;
  });
  const CheckResult risen = speed.Run("standby");
  EXPECT_EQ(risen.status, CheckStatus::kWithin) << risen.summary;
  EXPECT_NEAR(risen.FindFigure("standby_loss")->value, 0, 0.1);
  InputBuilder current(20 * 3600);
  current.Scalar("state of charge", 20, 0.1, charge).Scalar("pack current", 20, 0.1, [&](double t) {
    return driving(t) ? 100 : t > 17 * 3600 ? -30 : 0;
  });
  const CheckResult both = current.Run("standby");
  EXPECT_EQ(both.status, CheckStatus::kWithin) << both.summary;
}

CheckResult WithCharge(double start, double end, double km_start, double km_end) {
  CheckResult result;
  result.figures = {{"charge_at_start", start, "%", {}, ""},
                    {"charge_at_end", end, "%", {}, ""},
                    {"odometer_at_start", km_start, "km", {}, ""},
                    {"odometer_at_end", km_end, "km", {}, ""}};
  return result;
}

TEST(StandbyCheck, PauseBetweenSessions) {
  const CheckResult first = WithCharge(70, 64, 1000, 1040);
  const auto pause = PauseBetween(first, WithCharge(61.5, 60, 1040, 1050), 51);
  ASSERT_TRUE(pause.has_value());
  EXPECT_DOUBLE_EQ(pause->lost_percent, 2.5);
  EXPECT_FALSE(PauseBetween(first, WithCharge(61.5, 60, 1052, 1060), 51)) << "driven between";
  EXPECT_FALSE(PauseBetween(first, WithCharge(80, 60, 1040, 1050), 51)) << "charged between";
  EXPECT_FALSE(PauseBetween(first, CheckResult(), 51));
}

}  // namespace
}  // namespace proofdrive::analysis
