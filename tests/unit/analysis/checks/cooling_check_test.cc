#include "analysis/checks/cooling_check.h"

#include <gmock/gmock.h>

#include <cmath>

#include "analysis/checks/parts/pulse_fit.h"
#include "analysis/checks/pump_check.h"
#include "analysis/checks/temperature_check.h"
#include "analysis/statistics/robust.h"
#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using testing::Formula;
using ::testing::HasSubstr;
using testing::InputBuilder;
using testing::SettingsOf;

constexpr double kRpm = 4500;
constexpr double kVolt = 13.6;
// Amperes of a full loop: 0.98 W at 1000 rpm.
constexpr double kFullAmps = 0.98 * 4.5 * 4.5 * 4.5 / kVolt;

InputBuilder Pump(const Formula& share) {
  InputBuilder input(120);
  input.Scalar("coolant pump speed", 0.1, 1, [](double t) { return t < 5 ? 0 : kRpm; })
      .Scalar("coolant pump current", 0.1, 0.01,
              [&](double t) { return t < 5 ? 0 : kFullAmps * share(t); })
      .Scalar("supply voltage", 0.1, 0.01, [](double) { return kVolt; });
  return input;
}

CheckResult Check(const Formula& share) {
  return Pump(share).Run("cooling",
                         SettingsOf({"cooling.pump_index=0.98", "cooling.pump_speed=4500"}));
}

TEST(CoolingCheck, FullLoop) {
  const CheckResult result = Check([](double t) { return 1 + 0.01 * std::sin(9 * t); });
  EXPECT_EQ(result.status, CheckStatus::kWithin);
  EXPECT_NEAR(result.FindFigure("pump_index")->value, 0.98, 0.01);
  EXPECT_NEAR(result.FindFigure("pump_power_ratio")->value, 1, 0.01);
}

TEST(CoolingCheck, RowsOfThePumpTable) {
  const CheckResult dry = Check([](double) { return 0.33; });
  EXPECT_EQ(dry.status, CheckStatus::kOutside);
  EXPECT_THAT(dry.summary, HasSubstr("dry, or locked by air"));
  const CheckResult air = Check([](double t) { return 0.7 + 0.25 * std::sin(t); });
  EXPECT_EQ(air.status, CheckStatus::kLookCloser);
  EXPECT_THAT(air.summary, HasSubstr("air"));
  const CheckResult blocked = Check([](double) { return 0.72; });
  EXPECT_EQ(blocked.status, CheckStatus::kLookCloser);
  EXPECT_THAT(blocked.summary, HasSubstr("restricted flow"));
  const CheckResult heavy = Check([](double) { return 1.3; });
  EXPECT_THAT(heavy.summary, HasSubstr("thick (cold) coolant"));
}

// Rows of the reference of pump faults: a fault the pump reports, and a pump that stands although
// it is told to run (trade logic, common practice, no source).
TEST(CoolingCheck, WhatThePumpSaysAgainstItsSpeed) {
  const auto check = [](const Formula& state, const Formula& rpm) {
    InputBuilder input(120);
    input.Scalar("coolant pump speed", 0.1, 1, rpm)
        .Scalar("coolant pump current", 0.1, 0.01, [](double) { return kFullAmps; })
        .Scalar("supply voltage", 0.1, 0.01, [](double) { return kVolt; })
        .States("coolant pump", {"off", "low", "high", "fault"}, 0.1, state);
    return input.Run("cooling");
  };
  const auto turns = [](double) { return kRpm; };
  EXPECT_EQ(check([](double) { return 2; }, turns).status, CheckStatus::kWithin);
  const auto fault = check([](double t) { return t < 80 ? 2 : 3; }, turns);
  EXPECT_EQ(fault.status, CheckStatus::kLookCloser);
  EXPECT_THAT(fault.summary, HasSubstr("the pump reported a fault for "));
  const auto stood = [](double t) { return t < 60 ? kRpm : 0; };
  const auto stands = check([](double) { return 2; }, stood);
  EXPECT_EQ(stands.status, CheckStatus::kLookCloser);
  EXPECT_THAT(stands.summary, HasSubstr("although its state says that it runs"));
  EXPECT_NE(check([](double t) { return t < 60 ? 2 : 0; }, stood).status, CheckStatus::kLookCloser);
}

CheckResult Following(const Formula& inlet, const Formula& outlet) {
  InputBuilder input(300);
  input.Scalar("coolant pump speed", 0.5, 1, [](double) { return kRpm; })
      .Scalar("coolant inlet temperature", 0.5, 0.1, inlet)
      .Scalar("coolant outlet temperature", 0.5, 0.1, outlet);
  return input.Run("cooling", SettingsOf({"cooling.sensor_volume=6"}));
}

// 6 L between the sensors and 36 s: 10 L/min (worked example).
TEST(CoolingCheck, OutletFollowsTheInlet) {
  const auto inlet = [](double t) { return 20 + 5 * std::sin(t / 20); };
  const auto found = Following(inlet, [&](double t) { return inlet(t - 36); });
  ASSERT_NE(found.FindFigure("outlet_delay"), nullptr);
  EXPECT_NEAR(found.FindFigure("outlet_delay")->value, 36, 1);
  ASSERT_NE(found.FindFigure("flow_by_delay"), nullptr);
  EXPECT_NEAR(found.FindFigure("flow_by_delay")->value, 10, 0.3);
  // A step near the end of one and near the beginning of the other: only a lag of nearly the whole
  // recording brings them together.
  const auto chance = Following([](double t) { return t < 10 ? 20.0 : 20.5; },
                                [](double t) { return t < 290 ? 21.0 : 21.5; });
  EXPECT_EQ(chance.FindFigure("outlet_delay"), nullptr);
}

// Cells from 38 degC towards coolant of 24 degC, time constant 538 s (worked example).
TEST(CoolingCheck, TimeConstantOfCoolingDown) {
  const auto check = [](double amps) {
    InputBuilder input(1200);
    input.Scalar("coolant pump speed", 0.5, 1, [](double) { return kRpm; })
        .Scalar("coolant pump current", 0.5, 0.01, [](double) { return kFullAmps; })
        .Scalar("supply voltage", 0.5, 0.01, [](double) { return kVolt; })
        .Scalar("pack current", 0.5, 0.1, [=](double) { return amps; })
        .Scalar("coolant inlet temperature", 1, 0.1, [](double) { return 24; })
        .Each("cell temperatures", 6, 1, 0.1,
              [](std::size_t, double t) { return 24 + 14 * std::exp(-t / 538); });
    return input.Run("cooling");
  };
  const CheckResult cooling = check(0);
  ASSERT_NE(cooling.FindFigure("cooling_time"), nullptr);
  EXPECT_NEAR(cooling.FindFigure("cooling_time")->value, 538, 10);
  EXPECT_EQ(check(60).FindFigure("cooling_time"), nullptr) << "a load makes heat";
}

TEST(CoolingCheck, ChangingSpeedIsNoAir) {
  InputBuilder input(120);
  const auto rpm = [](double t) { return std::fmod(t, 30) < 15 ? 2200.0 : 4600.0; };
  input.Scalar("coolant pump speed", 0.1, 1, rpm)
      .Scalar("coolant pump current", 0.1, 0.01,
              [&](double t) { return 0.98 * std::pow(rpm(t) / 1000, 3) / kVolt; })
      .Scalar("supply voltage", 0.1, 0.01, [](double) { return kVolt; });
  EXPECT_EQ(input.Run("cooling").status, CheckStatus::kWithin);
}

TEST(CoolingCheck, WithoutPowerItSaysWhatIsMissing) {
  InputBuilder input(120);
  input.Scalar("coolant pump speed", 0.1, 1, [](double) { return kRpm; });
  const CheckResult result = input.Run("cooling");
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_THAT(result.summary, HasSubstr("pump speed, pump current and supply voltage"));
}

TEST(CoolingCheck, HotSpotAndSensorThatIsOff) {
  const double heat[] = {27.1, 27.3, 27.2, 27.4, 27.0, 27.3, 33.9, 28.6, 27.2, 27.1, 27.3, 27.4};
  for (const bool neighbour : {true, false}) {
    InputBuilder input = Pump([](double) { return 1; });
    input.Each("cell temperatures", 12, 1, 0.1,
               [&](std::size_t i, double) { return i == 7 && !neighbour ? 27.2 : heat[i]; });
    const CheckResult result = input.Run("cooling");
    EXPECT_EQ(result.status, CheckStatus::kLookCloser);
    std::string text = result.summary;
    for (const std::string& line : result.findings) text += "\n" + line;
    EXPECT_THAT(text, HasSubstr("temperature sensor 7 is 6.6"));
    EXPECT_THAT(text, HasSubstr(neighbour ? "a hot spot" : "the sensor may be off"));
  }
}

// 1 W at 1000 rpm for the water, 3.5 W for the electronics: 144 % of the cube at 2000 rpm.
TEST(CoolingCheck, ThePumpsOwnPowerIsNoDrag) {
  const auto text = [](double rpm, double watt) {
    InputBuilder input(120);
    input.Scalar("coolant pump speed", 0.2, 1, [=](double) { return rpm; })
        .Scalar("coolant pump current", 0.2, 0.001, [=](double) { return watt / kVolt; })
        .Scalar("supply voltage", 0.2, 0.001, [](double) { return kVolt; });
    return input.Run("cooling", SettingsOf({"cooling.pump_index=1", "cooling.pump_speed=4500"}))
        .summary;
  };
  EXPECT_THAT(text(2000, 8 + 3.5), ::testing::Not(HasSubstr("drag")));
  EXPECT_THAT(text(2000, 8 * 2), HasSubstr("drag"));
  EXPECT_THAT(text(4500, 91 * 1.3), HasSubstr("drag"));
}

// A good session at 2000 rpm, of which electronics took a part: 0.6 W at 1000 rpm for the coolant
// and 4 W make an index of 1.1 W there and of 0.63 W at 5000 rpm.
TEST(CoolingCheck, AFullLoopAtAHigherSpeedIsNotRestricted) {
  const auto check = [](const std::vector<double>& speeds, double share,
                        const std::vector<std::string>& settings) {
    InputBuilder input(120 * static_cast<double>(speeds.size()));
    const auto rpm = [=](double t) {
      return speeds[std::min(static_cast<std::size_t>(t / 120), speeds.size() - 1)];
    };
    input.Scalar("coolant pump speed", 0.2, 1, rpm)
        .Scalar("coolant pump current", 0.2, 0.001,
                [=](double t) { return (4 + share * 0.6 * std::pow(rpm(t) / 1000, 3)) / kVolt; })
        .Scalar("supply voltage", 0.2, 0.001, [](double) { return kVolt; });
    return input.Run("cooling", SettingsOf(settings));
  };
  const std::vector<std::string> known = {"cooling.pump_index=1.1", "cooling.pump_speed=2000"};
  EXPECT_EQ(check({5000}, 1, known).status, CheckStatus::kWithin);
  EXPECT_THAT(check({5000}, 0.6, known).summary, HasSubstr("restricted flow"));
  const CheckResult unknown = check({5000}, 1, {"cooling.pump_index=1.1"});
  EXPECT_EQ(unknown.status, CheckStatus::kCannotTell);
  EXPECT_THAT(unknown.summary, HasSubstr("set cooling.pump_speed"));
  // Through three speeds a law is fitted.
  const CheckResult fitted = check({2600, 3600, 5000}, 1, known);
  EXPECT_EQ(fitted.status, CheckStatus::kWithin) << fitted.summary;
  EXPECT_NEAR(fitted.FindFigure("pump_power_ratio")->value, 1, 0.12);
  EXPECT_THAT(check({2600, 3600, 5000}, 0.5, known).summary, HasSubstr("restricted flow"));
}

// At 1500 rpm 4 W are the pump's own and 2 W move coolant (0.6 W at 1000 rpm): a dry loop would
// take 67 %, and what a full one takes is known to no better.
TEST(CoolingCheck, APumpThatMostlyHeatsItselfSaysNothingOfTheLoop) {
  const auto check = [](double hydraulic) {
    InputBuilder input(120);
    input.Scalar("coolant pump speed", 0.2, 1, [](double) { return 1500; })
        .Scalar("coolant pump current", 0.2, 0.001,
                [=](double) { return (4 + hydraulic * 2) / kVolt; })
        .Scalar("supply voltage", 0.2, 0.001, [](double) { return kVolt; });
    return input.Run("cooling", SettingsOf({"cooling.pump_index=1.78", "cooling.pump_speed=1500"}));
  };
  EXPECT_EQ(check(1).status, CheckStatus::kWithin) << check(1).summary;
  EXPECT_EQ(check(0.5).status, CheckStatus::kCannotTell) << check(0.5).summary;
  EXPECT_THAT(check(0.5).summary, HasSubstr("most of its power may be its own"));
  EXPECT_THAT(check(0.2).summary, HasSubstr("restricted flow"));
}

// No pump is described: the cells are judged all the same.
TEST(CoolingCheck, WithoutAPumpTheCellsAreJudged) {
  const auto check = [](double per_minute) {
    InputBuilder input(3600);
    input.Scalar("pack current", 1, 0.1, [](double) { return 0.2; })
        .Scalar("ambient temperature", 10, 0.5, [](double) { return 20; })
        .Each("cell temperatures", 24, 10, 0.1,
              [=](std::size_t, double t) { return 22 + per_minute * t / 60; });
    return input.Run("cooling");
  };
  EXPECT_EQ(check(0).status, CheckStatus::kWithin) << check(0).summary;
  EXPECT_EQ(check(0.2).status, CheckStatus::kOutside) << check(0.2).summary;
}

// 10 L/min carry the heat of cells whose slow part of the resistance is 40 % of what 20 s show; two
// sensors are 0.3 K off, the heat capacity is not known.
TEST(CoolingCheck, TheImpliedFlowHoldsTheTruth) {
  for (const double off : {-0.3, 0.3}) {
    for (const double slow : {0.0, 0.4}) {
      SCOPED_TRACE(std::to_string(off) + " K, slow part " + std::to_string(slow));
      const auto amps = [](double t) { return std::fmod(t, 120) < 60 ? 40.0 : 220.0; };
      const double heat = (40 * 40 + 220 * 220) / 2.0 * 0.1 * (1 + slow);
      const double rise = heat / (10 / 60e3 * 1071 * 3300);
      InputBuilder input(1800);
      input.Scalar("coolant pump speed", 0.5, 1, [](double) { return kRpm; })
          .Scalar("coolant pump current", 0.5, 0.01, [](double) { return kFullAmps; })
          .Scalar("supply voltage", 0.5, 0.01, [](double) { return kVolt; })
          .Scalar("pack current", 0.1, 0.1, amps)
          .Scalar("pack voltage", 0.1, 0.1, [=](double t) { return 380 - 0.1 * amps(t); })
          .Scalar("coolant inlet temperature", 1, 0.1, [=](double) { return 25 + off; })
          .Scalar("coolant outlet temperature", 1, 0.1, [=](double) { return 25 - off + rise; })
          .Each("cell temperatures", 6, 1, 0.1, [](std::size_t, double) { return 33; });
      const CheckResult result = input.Run("cooling");
      const Figure* flow = result.FindFigure("implied_flow");
      ASSERT_NE(flow, nullptr);
      EXPECT_NEAR(flow->value, 10, 1.96 * *flow->uncertainty);
      EXPECT_LT(*flow->uncertainty, 0.37 * flow->value);
      EXPECT_NEAR(result.FindFigure("flow_index")->value, flow->value / 4.5, 1e-6);
    }
  }
}

// 100 A for two minutes in every ten: a branch of 150 s and 0.05 ohm adds what the mean current
// behind it makes, not what 100 A would. Stretches of a minute show most of it.
TEST(CoolingCheck, HeatOfASlowBranchIsThatOfItsOwnCurrent) {
  const auto amps = [](double t) { return std::fmod(t, 600) < 120 ? 100.0 : 0.0; };
  Track current, volts;
  double behind = 0, made = 0, count = 0;
  for (double t = 0; t < 3600; t += 0.5) {
    current.Add(t, amps(t));
    volts.Add(t, 380 - 0.1 * amps(t) - 0.05 * behind);
    if (t >= 600) {
      made += amps(t) * (0.1 * amps(t) + 0.05 * behind);
      ++count;
    }
    behind += (amps(t) - behind) * (1 - std::exp(-0.5 / 150));
  }
  const Track heat = PulseFit(volts, current, 20).Heat(current);
  EXPECT_NEAR(Mean(Between(heat, 600, 3600).value), made / count,
              0.12 * made / count);  // 300 by steps
}

// An hour at rest after `driven` s of current, in air of `air_c`; no pump is sent.
CheckResult AtRest(const std::function<double(std::size_t, double)>& celsius, double driven = 0,
                   double air_c = 20) {
  InputBuilder input(driven + 3600);
  input.Scalar("pack current", 1, 0.1, [=](double t) { return t < driven ? 60 : 0.2; })
      .Scalar("ambient temperature", 10, 0.5, [=](double) { return air_c; })
      .Each("cell temperatures", 24, 10, 0.1,
            [&](std::size_t i, double t) { return celsius(i, t - driven); });
  CheckSettings settings;
  CheckDraft draft(input.input(), settings);
  JudgeTemperatures(draft);
  return draft.Take();
}

TEST(CoolingCheck, HeatThatEvensOutIsNotMade) {
  const CheckResult result = AtRest(
      [](std::size_t i, double t) {
        const double gradient = 0.5 * (static_cast<double>(i) - 11.5);
        return 32 + gradient * (0.5 + 0.5 * std::exp(-std::max(0.0, t) / 1200)) -
               (i == 3 && t < 600 ? 1.5 : 0);
      },
      600);
  EXPECT_NE(result.status, CheckStatus::kOutside) << result.summary;
}

TEST(CoolingCheck, AColdPackThatIsWarmedFromOutside) {
  const auto warmed = [](std::size_t i, double t) {
    const double tau = i < 2 ? 6000 : 20000;  // two sensors near the wall
    return 20 - 30 * std::exp(-t / tau);
  };
  EXPECT_EQ(AtRest(warmed).status == CheckStatus::kOutside, false) << AtRest(warmed).summary;
}

TEST(CoolingCheck, CellsThatHeatThemselves) {
  const auto warming = [](std::size_t count, double per_minute) {
    return AtRest(
        [=](std::size_t i, double t) { return 22 + (i < count ? per_minute * t / 60 : 0); });
  };
  for (const std::size_t count : {1U, 13U, 24U}) {
    const CheckResult result = warming(count, 0.2);
    EXPECT_EQ(result.status, CheckStatus::kOutside) << count;
    EXPECT_THAT(result.summary, HasSubstr("keep away"));
  }
  EXPECT_NE(warming(24, 0).status, CheckStatus::kOutside);
}

TEST(CoolingCheck, CellsThatAreTooWarm) {
  const auto at = [](double celsius) {
    return AtRest([celsius](std::size_t, double) { return celsius; }, 0, 66).status;
  };
  EXPECT_EQ(at(66), CheckStatus::kOutside);
  EXPECT_EQ(at(57), CheckStatus::kLookCloser);
  EXPECT_NE(at(48), CheckStatus::kOutside);
}

TEST(CoolingCheck, SelfHeating) {
  std::vector<Track> sensors(5);
  for (std::size_t i = 0; i < 5; ++i) {
    for (double t = 0; t <= 600; t += 10) sensors[i].Add(t, 20 + (i == 2 ? t / 200 : 0));
  }
  const auto rises = RiseAgainstRest(sensors, {0, 600});
  ASSERT_EQ(rises.size(), 5U);
  EXPECT_NEAR(rises[2], 2.4, 0.1);
  EXPECT_NEAR(rises[0], 0, 1e-9);
  EXPECT_TRUE(RiseAgainstRest({}, {0, 600}).empty());
}

}  // namespace
}  // namespace proofdrive::analysis
