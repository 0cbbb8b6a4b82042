// Limits: pre-charge design notes, ISO 6469-4:2015 (looked up).
#include "analysis/checks/precharge_check.h"

#include <gmock/gmock.h>

#include <cmath>

#include "tests/unit/analysis/checks/switched_link.h"

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using testing::Formula;
using ::testing::HasSubstr;
using testing::InputBuilder;
using testing::kClose;
using testing::kOpen;
using testing::kPack;
using testing::kUp;
using testing::Link;
using testing::Rise;
using testing::SettingsOf;
using testing::State;

CheckResult Check(const Formula& link, const Formula& state = State) {
  return testing::Switched("precharge", link, state);
}

TEST(PrechargeCheck, HealthyClosing) {
  const CheckResult result = Check(Link);
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_NEAR(result.FindFigure("precharge_tau")->value, 0.1, 0.002);
  EXPECT_NEAR(result.FindFigure("closing_share")->value, 95, 0.6);
  ASSERT_EQ(result.curves.size(), 1U);
  EXPECT_NEAR(result.curves[0].levels.at(0).y, 380, 1e-6);
}

// 50 ohm and 2 mF; with 600 ohm left on a pre-charge ends at 92.3 % (calculated).
TEST(PrechargeCheck, AKnownResistorTellsCapacitanceAndLoad) {
  const auto run = [](const Formula& link, const Formula& state) {
    InputBuilder input(100);
    input.Scalar("link voltage", 0.01, 0.5, link)
        .Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
        .States("contactor state", {"open", "precharge", "closed"}, 0.01, state);
    return input.Run("precharge", SettingsOf({"precharge.resistor=50"}));
  };
  const CheckResult good = run(Link, State);
  ASSERT_NE(good.FindFigure("link_capacitance"), nullptr);
  EXPECT_NEAR(good.FindFigure("link_capacitance")->value, 2, 0.04);
  EXPECT_EQ(good.FindFigure("load_left_on"), nullptr);
  const double tau = 50 * 600 / 650.0 * 2e-3;
  const CheckResult loaded = run([&](double t) { return t < kUp ? 0 : 0.923077 * Rise(t, tau); },
                                 [](double t) { return t >= kUp && t < kUp + 1 ? 1 : 0; });
  EXPECT_EQ(loaded.status, CheckStatus::kOutside);
  ASSERT_NE(loaded.FindFigure("load_left_on"), nullptr);
  EXPECT_NEAR(loaded.FindFigure("load_left_on")->value, 600, 40);
}

TEST(PrechargeCheck, ClosingTooEarly) {
  const auto with = [](double tau) {
    return Check([tau](double t) { return t >= kUp && t < kClose ? Rise(t, tau) : Link(t); });
  };
  const CheckResult fair = with(0.125);  // 1 - exp(-2.4) = 90.9 %
  EXPECT_EQ(fair.status, CheckStatus::kWithin) << fair.summary;
  EXPECT_THAT(fair.summary, HasSubstr("usual is 95 %"));
  EXPECT_EQ(with(0.16).status, CheckStatus::kOutside);  // 84.7 %
  EXPECT_EQ(with(0.3).status, CheckStatus::kOutside);
}

// Closed at half of the voltage, and one reading falls into the few milliseconds after it.
TEST(PrechargeCheck, AReadingWithinTheJumpIsNoPrecharge) {
  const CheckResult result = Check([](double t) {
    if (t < kUp || t >= kClose) return Link(t);
    if (t > 10.295) return kPack;
    if (t > 10.285) return 0.946 * kPack;
    return Rise(t, 0.433);
  });
  EXPECT_EQ(result.status, CheckStatus::kOutside) << result.summary;
}

// The sensor follows the jump from half of the voltage over three readings.
TEST(PrechargeCheck, ASensorThatFollowsSlowlyProvesNoPrecharge) {
  const CheckResult result = Check([](double t) {
    if (t < kUp || t >= kClose) return Link(t);
    if (t > 10.295) return kPack;
    if (t > 10.285) return 0.975 * kPack;
    if (t > 10.275) return 0.74 * kPack;
    return t < 10.2 ? Rise(t, 0.3) : 0.5 * kPack;
  });
  EXPECT_EQ(result.status, CheckStatus::kOutside) << result.summary;
}

TEST(PrechargeCheck, OnePoleWeldedAndASensorThatFollowsSlowly) {
  const CheckResult result = Check([](double t) {
    if (t < 9.9 || t >= kClose) return Link(t);
    return t < 9.915 ? 0.52 * kPack : kPack;  // 90 ms before the state says so
  });
  EXPECT_EQ(result.status, CheckStatus::kLookCloser) << result.summary;
  EXPECT_THAT(result.summary, HasSubstr("(one pole welded)"));
}

// A state that comes 0.2 s late says "pre-charge" of a link that is up: no proof that it rose so
// far.
TEST(PrechargeCheck, ALateStateProvesNoPrecharge) {
  const auto run = [](double late) {
    InputBuilder input(100);
    input
        .Scalar("link voltage", 0.15, 0.5,
                [](double t) {
                  return t < kUp ? 0 : t < 10.14 ? Rise(t, 0.2) : t < kOpen ? kPack : Link(t);
                })
        .Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
        .States("contactor state", {"open", "precharge", "closed"}, 0.01, [=](double t) {
          return t < kUp + late ? 0 : t < 10.14 + late ? 1 : t < kOpen + late ? 2 : 0;
        });
    return input.Run("precharge");
  };
  EXPECT_NE(run(0.25).status, CheckStatus::kWithin) << run(0.25).summary;
}

// Every 100 ms the last reading may be far below what the link had at closing.
TEST(PrechargeCheck, AFewReadingsDoNotTellAnEarlyClosing) {
  InputBuilder input(100);
  input.Scalar("link voltage", 0.1, 0.5, [](double t) { return Link(t + 0.06); })
      .Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
      .States("contactor state", {"open", "precharge", "closed"}, 0.01,
              [](double t) { return State(t + 0.06); });
  const CheckResult result = input.Run("precharge");
  EXPECT_NE(result.status, CheckStatus::kOutside) << result.summary;
  EXPECT_NE(result.status, CheckStatus::kLookCloser) << result.summary;
}

TEST(PrechargeCheck, AFailedPrechargeIsDrawnAndNamed) {
  // 600 ohm left on behind 50 ohm: 92.3 % and no further.
  const auto state = [](double t) { return t < kUp || t >= 12 ? 0.0 : 1.0; };
  const auto link = [](double t) {
    return t < kUp ? 0 : t < 12 ? 0.923 * Rise(t, 0.0923) : 300 * std::exp(-(t - 12));
  };
  const CheckResult result = Check(link, state);
  EXPECT_EQ(result.status, CheckStatus::kOutside);
  EXPECT_THAT(result.summary, HasSubstr("1 of 1 pre-charges did not end in closing; the link "
                                        "reached 92.2 % of pack voltage"));
}

TEST(PrechargeCheck, OnePoleWeldedBesideTheResistor) {
  const CheckResult result =
      Check([](double t) { return t >= kUp && t < kClose ? kPack : Link(t); });
  EXPECT_EQ(result.status, CheckStatus::kLookCloser) << result.summary;
  EXPECT_THAT(result.summary, HasSubstr("(one pole welded)"));
}

TEST(PrechargeCheck, NothingSwitchedCannotBeTold) {
  const CheckResult result = Check([](double) { return 0; }, [](double) { return 0; });
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_THAT(result.missing, Contains(HasSubstr("record while high voltage is switched on")));
}

}  // namespace
}  // namespace proofdrive::analysis
