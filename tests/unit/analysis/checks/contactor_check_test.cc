// Worked values: R = 50 ohm, C = 2 mF, 400 V gives tau 0.1 s and 95 % after 0.29957 s (calculated);
// limits: pre-charge design notes, ISO 6469-4:2015 (looked up).
#include "analysis/checks/contactor_check.h"

#include <gmock/gmock.h>

#include <cmath>

#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using testing::Formula;
using ::testing::HasSubstr;
using testing::InputBuilder;
using testing::SettingsOf;

constexpr double kPack = 400;
constexpr double kUp = 10;       // pre-charge begins
constexpr double kClose = 10.3;  // the main contactor closes
constexpr double kOpen = 60;

// 0 open, 1 pre-charge, 2 closed.
double State(double t) { return t < kUp ? 0 : t < kClose ? 1 : t < kOpen ? 2 : 0; }

double Rise(double t, double tau) { return kPack * (1 - std::exp(-(t - kUp) / tau)); }

// A healthy link, read every 10 ms: up with tau 0.1 s, down within 3 s.
double Link(double t) {
  if (t < kUp) return 0;
  if (t < kClose) return Rise(t, 0.1);
  if (t < kOpen) return kPack;
  return kPack * std::exp(-(t - kOpen) / 1.0);
}

CheckResult Check(const Formula& link, const Formula& state = State) {
  InputBuilder input(100);
  input.Scalar("link voltage", 0.01, 0.5, link)
      .Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
      .States("contactor state", {"open", "precharge", "closed"}, 0.01, state);
  return input.Run("contactors");
}

TEST(ContactorCheck, HealthyClosing) {
  const CheckResult result = Check(Link);
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_NEAR(result.FindFigure("precharge_tau")->value, 0.1, 0.002);
  EXPECT_NEAR(result.FindFigure("closing_share")->value, 95, 0.6);
  EXPECT_EQ(result.FindFigure("closings")->value, 1);
  EXPECT_NEAR(result.FindFigure("bleed_time")->value, std::log(400.0 / 60), 0.02);
  ASSERT_EQ(result.curves.size(), 1U);
  EXPECT_NEAR(result.curves[0].levels.at(0).y, 380, 1e-6);
}

// 50 ohm and 2 mF; with 600 ohm left on a pre-charge ends at 92.3 % (calculated).
TEST(ContactorCheck, AKnownResistorTellsCapacitanceAndLoad) {
  const auto run = [](const Formula& link, const Formula& state) {
    InputBuilder input(100);
    input.Scalar("link voltage", 0.01, 0.5, link)
        .Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
        .States("contactor state", {"open", "precharge", "closed"}, 0.01, state);
    return input.Run("contactors", SettingsOf({"precharge.resistor=50"}));
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

TEST(ContactorCheck, ClosingTooEarly) {
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
TEST(ContactorCheck, AReadingWithinTheJumpIsNoPrecharge) {
  const CheckResult result = Check([](double t) {
    if (t < kUp || t >= kClose) return Link(t);
    if (t > 10.295) return kPack;
    if (t > 10.285) return 0.946 * kPack;
    return Rise(t, 0.433);
  });
  EXPECT_EQ(result.status, CheckStatus::kOutside) << result.summary;
}

// A state that comes 0.2 s late says "pre-charge" of a link that is up: no proof that it rose so
// far.
TEST(ContactorCheck, ALateStateProvesNoPrecharge) {
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
    return input.Run("contactors");
  };
  EXPECT_NE(run(0.25).status, CheckStatus::kWithin) << run(0.25).summary;
}

// Every 100 ms the last reading may be far below what the link had at closing.
TEST(ContactorCheck, AFewReadingsDoNotTellAnEarlyClosing) {
  InputBuilder input(100);
  input.Scalar("link voltage", 0.1, 0.5, [](double t) { return Link(t + 0.06); })
      .Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
      .States("contactor state", {"open", "precharge", "closed"}, 0.01,
              [](double t) { return State(t + 0.06); });
  const CheckResult result = input.Run("contactors");
  EXPECT_NE(result.status, CheckStatus::kOutside) << result.summary;
  EXPECT_NE(result.status, CheckStatus::kLookCloser) << result.summary;
}

// A state sent once a second says "open" until after the link rose.
TEST(ContactorCheck, AStateThatComesLateIsNoWeld) {
  InputBuilder input(100);
  input.Scalar("link voltage", 0.01, 0.5, Link)
      .Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
      .States("contactor state", {"open", "precharge", "closed"}, 1,
              [](double t) { return t <= kUp + 0.5 ? 0 : State(t); });
  const CheckResult result = input.Run("contactors");
  EXPECT_NE(result.status, CheckStatus::kOutside) << result.summary;
  EXPECT_NE(result.status, CheckStatus::kLookCloser) << result.summary;
}

// Contactors, fuse and cable: 3 mohm are none too many, 6 are.
TEST(ContactorCheck, ResistanceWhenClosed) {
  const auto with = [](double mohm) {
    InputBuilder input(100);
    const auto amps = [](double t) { return t > 20 && t < 50 ? (t < 35 ? 200.0 : 60.0) : 0; };
    input
        .Scalar("link voltage", 0.01, 0.1,
                [=](double t) { return Link(t) - amps(t) * (0.1 + mohm / 1000); })
        .Scalar("pack voltage", 0.1, 0.1, [=](double t) { return kPack - amps(t) * 0.1; })
        .Scalar("pack current", 0.1, 0.1, amps)
        .States("contactor state", {"open", "precharge", "closed"}, 0.01, State);
    return input.Run("contactors");
  };
  EXPECT_EQ(with(3).status, CheckStatus::kWithin) << with(3).summary;
  EXPECT_EQ(with(6.5).status, CheckStatus::kLookCloser) << with(6.5).summary;
}

TEST(ContactorCheck, AFailedPrechargeIsDrawnAndNamed) {
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

TEST(ContactorCheck, BothPolesWelded) {
  const CheckResult result = Check([](double t) { return t < kUp ? 0 : kPack; });
  EXPECT_EQ(result.status, CheckStatus::kOutside);
  EXPECT_THAT(result.summary, HasSubstr("both poles are closed (welded)"));
}

TEST(ContactorCheck, OnePoleWeldedBesideTheResistor) {
  const CheckResult result =
      Check([](double t) { return t >= kUp && t < kClose ? kPack : Link(t); });
  EXPECT_EQ(result.status, CheckStatus::kLookCloser) << result.summary;
  EXPECT_THAT(result.summary, HasSubstr("(one pole welded)"));
}

TEST(ContactorCheck, OnePoleWeldedAndTheLinkRisesBeforeItsCommand) {
  const CheckResult result = Check([](double t) { return t > 9 && t < kOpen ? kPack : Link(t); });
  EXPECT_EQ(result.status, CheckStatus::kLookCloser) << result.summary;
  EXPECT_THAT(result.summary, HasSubstr("with the contactors said to be open"));
}

TEST(ContactorCheck, ALinkStillUpFromBeforeIsNoWeld) {
  // Opened and asked again at once: the link falls slowly, and pre-charge starts from 300 V.
  const auto link = [](double t) {
    return t < kUp ? 400 - 10 * t : t < kOpen ? kPack : kPack * std::exp(-(t - kOpen));
  };
  EXPECT_EQ(Check(link).status, CheckStatus::kWithin);
}

TEST(ContactorCheck, ClosedWithoutVoltageBehind) {
  const CheckResult result = Check([](double t) { return t < kClose ? Link(t) : 2; });
  EXPECT_EQ(result.status, CheckStatus::kOutside);
  EXPECT_THAT(result.summary, HasSubstr("an open contactor, fuse, service or crash disconnect"));
}

// Passive only: 30 kohm x 2 mF = 60 s; up to 5 min to 60 V are usual (from memory).
TEST(ContactorCheck, ASlowFallIsNoWeld) {
  for (const double tau : {60.0, 158.0}) {
    const CheckResult result = Check(
        [tau](double t) { return t < kOpen ? Link(t) : kPack * std::exp(-(t - kOpen) / tau); });
    EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
    EXPECT_THAT(result.missing, Contains(HasSubstr("record longer")));
  }
  InputBuilder input(900);
  input.Scalar("link voltage", 0.1, 0.5,
               [](double t) { return t < kOpen ? Link(t) : kPack * std::exp(-(t - kOpen) / 300); });
  input.Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
      .States("contactor state", {"open", "precharge", "closed"}, 0.1, State);
  const CheckResult never = input.Run("contactors");
  EXPECT_EQ(never.status, CheckStatus::kLookCloser) << never.summary;
  EXPECT_THAT(never.summary, HasSubstr("nothing discharges it"));
}

TEST(ContactorCheck, NothingSwitchedCannotBeTold) {
  const CheckResult result = Check([](double) { return 0; }, [](double) { return 0; });
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_THAT(result.missing, Contains(HasSubstr("record while high voltage is switched on")));
}

// The link's sensor sleeps after it fell, and its first readings are of the next pre-charge.
TEST(ContactorCheck, ALinkThatIsUpAgainIsNoWeld) {
  const auto asleep = [](double t) { return t > 75 && t < 198; };
  const auto link = [](double t) {
    if (t < kOpen) return Link(t);
    return t < 190 ? kPack * std::exp(-(t - kOpen) / 60) : kPack * (1 - std::exp(-(t - 190) / 0.5));
  };
  InputBuilder input(260);
  input.Scalar("link voltage", 0.1, 0.5, link)
      .Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
      .States("contactor state", {"open", "precharge", "closed"}, 0.1,
              [](double t) { return t < 200 ? State(t) : 2; });
  for (RoleSignal& signal : input.input().signals) {
    if (signal.role != "link voltage") continue;
    Track awake;
    for (std::size_t i = 0; i < signal.track().size(); ++i) {
      const double at = signal.track().time_s[i];
      if (!asleep(at) && (at < 61 || at > 61.5)) awake.Add(at, signal.track().value[i]);
    }
    signal.elements[0] = awake;
  }
  const CheckResult result = input.Run("contactors");
  EXPECT_NE(result.status, CheckStatus::kOutside) << result.summary;
}

}  // namespace
}  // namespace proofdrive::analysis
