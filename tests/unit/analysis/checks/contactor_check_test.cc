// Limits: pre-charge design notes, ISO 6469-4:2015 (looked up).
#include "analysis/checks/contactor_check.h"

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
using testing::State;

CheckResult Check(const Formula& link, const Formula& state = State) {
  return testing::Switched("contactors", link, state);
}

TEST(ContactorCheck, Healthy) {
  const CheckResult result = Check(Link);
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_EQ(result.summary, "the link has 100 % of pack voltage when closed and 0 % when open");
  EXPECT_EQ(result.FindFigure("closings")->value, 1);
  EXPECT_NEAR(result.FindFigure("bleed_time")->value, std::log(400.0 / 60), 0.02);
}

// A state sent once a second says "open" until after the link rose.
TEST(ContactorCheck, AStateThatComesLateIsNoWeld) {
  InputBuilder input(100);
  input.Scalar("link voltage", 0.01, 0.5, Link)
      .Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
      .States("contactor state", {"open", "precharge", "closed"}, 1,
              [](double t) { return t <= kUp + 0.5 ? 0 : State(t); });
  for (const char* check : {"contactors", "precharge"}) {
    const CheckResult result = input.Run(check);
    EXPECT_NE(result.status, CheckStatus::kOutside) << result.summary;
    EXPECT_NE(result.status, CheckStatus::kLookCloser) << result.summary;
  }
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

TEST(ContactorCheck, BothPolesWelded) {
  const CheckResult result = Check([](double t) { return t < kUp ? 0 : kPack; });
  EXPECT_EQ(result.status, CheckStatus::kOutside);
  EXPECT_THAT(result.summary, HasSubstr("both poles are closed (welded)"));
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
  EXPECT_THAT(result.missing, Contains(HasSubstr("with the contactors closed")));
}

// Closed from the first reading to the last: whether they open is not known.
TEST(ContactorCheck, NeverOpenedCannotBeTold) {
  const CheckResult result = Check([](double) { return kPack; }, [](double) { return 2; });
  EXPECT_EQ(result.status, CheckStatus::kCannotTell) << result.summary;
  EXPECT_THAT(result.missing, Contains(HasSubstr("longer after they open")));
}

TEST(ContactorCheck, AFallThatWasNotSeenIsSaid) {
  InputBuilder input(50);  // ends before they open
  input.Scalar("link voltage", 0.01, 0.5, Link)
      .Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
      .States("contactor state", {"open", "precharge", "closed"}, 0.01, State);
  const CheckResult result = input.Run("contactors");
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_THAT(result.summary, HasSubstr("before closing; after it no fall was seen"));
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
