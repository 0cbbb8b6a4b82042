// Figures of checks over sessions. Worked values: calculated apart from this code by the published
// formulas of Theil-Sen and Mann-Kendall, and cross-checked with a general statistics library.
#include "output/text/check_history_text.h"

#include <gmock/gmock.h>

#include <cmath>

namespace proofdrive::analysis {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

constexpr WallTime kStart = WallTime(std::chrono::seconds(1'772'366'400));  // 2026-03-01 12:00
const std::vector<double> kDays = {0, 1, 2, 3, 5, 6, 8, 10};
const std::vector<double> kDrying = {310, 355, 340, 420, 515, 560, 700, 905};
const std::vector<double> kWorse = {905, 860, 880, 640, 430, 450, 260, 190};

CheckResult Result(const std::string& name, CheckStatus status, std::vector<Figure> figures) {
  CheckResult result;
  result.name = name;
  result.title = name;
  result.status = status;
  result.summary = "why " + name;
  result.figures = std::move(figures);
  return result;
}

// Sessions an hour long with this insulation, in a pack of 450 V at most.
std::vector<CheckedSession> Insulation(const std::vector<double>& kohm,
                                       const std::vector<double>& celsius = {}) {
  std::vector<CheckedSession> sessions;
  for (std::size_t i = 0; i < kohm.size(); ++i) {
    CheckResult insulation =
        Result("insulation", CheckStatus::kWithin,
               {{"resistance", kohm[i], "kohm", {}, ""}, {"working_voltage", 450, "V", {}, ""}});
    insulation.limits = {{"insulation.fault", 100, "ohm/V", Mark::kPublished, ""},
                         {"insulation.warn", 500, "ohm/V", Mark::kPublished, ""}};
    CheckedSession session{kStart + FromSeconds(kDays[i] * 86'400), FromSeconds(3600), {}};
    session.results = {insulation};
    if (!celsius.empty()) {
      session.results.push_back(Result("resistance", CheckStatus::kWithin,
                                       {{"cell_temperature", celsius[i], "degC", {}, ""}}));
    }
    sessions.push_back(std::move(session));
  }
  return sessions;
}

TEST(TrendOver, WorkedDrying) {
  const auto trend = TrendOver(kDays, kDrying, true);
  ASSERT_TRUE(trend.has_value());
  EXPECT_NEAR(trend->per_day, 0.0444000, 5e-8);
  EXPECT_NEAR(std::pow(10, trend->per_day), 1.1076, 5e-5);
  EXPECT_NEAR(std::log10(2.0) / trend->per_day, 6.78, 5e-3);
  EXPECT_NEAR(trend->intercept, 2.489974, 5e-7);
  EXPECT_NEAR(trend->p, 0.00040, 5e-6);
  EXPECT_TRUE(trend->Clear());
  EXPECT_FALSE(CrossingOf(*trend, 225).has_value()) << "it rises";
}

TEST(TrendOver, WorkedGettingWorse) {
  const auto trend = TrendOver(kDays, kWorse, true);
  ASSERT_TRUE(trend.has_value());
  EXPECT_NEAR(trend->per_day, -0.0718803, 5e-8);
  EXPECT_NEAR(trend->low, -0.08636, 5e-6);
  EXPECT_NEAR(trend->high, -0.05057, 5e-6);
  EXPECT_NEAR(trend->intercept, 3.001967, 1e-6);
  EXPECT_NEAR(trend->p, 0.00174, 5e-6);
  EXPECT_NEAR(trend->PercentPerDay(), 100 * (0.8475 - 1), 5e-3);
  const auto warn = CrossingOf(*trend, 225);
  ASSERT_TRUE(warn.has_value());
  EXPECT_NEAR(warn->day, 9.04, 5e-3);
  EXPECT_NEAR(warn->earliest, 7.5, 0.05);
  EXPECT_NEAR(warn->latest, 12.8, 0.05);
  EXPECT_NEAR(CrossingOf(*trend, 45)->day, 18.8, 0.05);
}

TEST(TrendOver, TooFewOrOfOneTime) {
  const std::vector<double> four = {1, 2, 3, 4};
  EXPECT_FALSE(TrendOver(four, four, false).has_value());
  const std::vector<double> same(6, 1.0);
  EXPECT_FALSE(TrendOver(same, same, false).has_value());
}

TEST(TrendOver, ALevelFigureHasNoClearTrend) {
  const std::vector<double> days = {0, 1, 2, 3, 4, 5};
  const std::vector<double> values = {5, 5.1, 4.9, 5, 5.1, 4.95};
  const auto trend = TrendOver(days, values, false);
  ASSERT_TRUE(trend.has_value());
  EXPECT_FALSE(trend->Clear());
}

TEST(CheckHistory, FallingInsulationNamesTheDayOfTheLimit) {
  const CheckHistory history = CheckHistoryOf(Insulation(kWorse), 6, 0);
  ASSERT_EQ(history.figures.size(), 1U);
  ASSERT_EQ(history.figures[0].crossings.size(), 2U);
  const std::string text = output::TrendText(history.figures[0], kStart);
  EXPECT_THAT(text, AllOf(HasSubstr("falls by 15.3 % a day"), HasSubstr("getting worse"),
                          HasSubstr("insulation.warn (225 kohm) would be reached on 2026-03-10 "
                                    "(band 2026-03-09 to 2026-03-14)"),
                          HasSubstr("insulation.fault (45 kohm) would be reached on 2026-03-20")));
}

TEST(CheckHistory, RisingInsulationIsNoAllClear) {
  const CheckHistory history = CheckHistoryOf(Insulation(kDrying), 6, 0);
  const std::string text = output::TrendText(history.figures[0], kStart);
  EXPECT_THAT(text, AllOf(HasSubstr("rises by 10.8 % a day"), HasSubstr("doubles in 6.78 days"),
                          HasSubstr("conduct when they get damp again"),
                          Not(HasSubstr("would be reached"))));
}

TEST(CheckHistory, DifferentTemperaturesAreNamed) {
  const auto sessions = Insulation(kDrying, {5, 8, 10, 12, 15, 18, 20, 22});
  const CheckHistory history = CheckHistoryOf(sessions, 6, 0);
  EXPECT_DOUBLE_EQ(history.figures[0].temperature_span_k, 17);
  EXPECT_THAT(output::TrendText(history.figures[0], kStart),
              HasSubstr("temperature differs by 17 K between the sessions"));
}

TEST(CheckHistory, AnswersOfEverySession) {
  std::vector<CheckedSession> sessions(3);
  for (std::size_t i = 0; i < 3; ++i) sessions[i].start = kStart + std::chrono::hours(24 * i);
  sessions[0].results = {Result("supply", CheckStatus::kOutside, {})};
  sessions[2].results = {Result("supply", CheckStatus::kCannotTell, {})};
  const CheckHistory history = CheckHistoryOf(sessions, 6, 0);
  ASSERT_EQ(history.checks.size(), 1U);
  EXPECT_EQ(history.checks[0].answers, (std::vector{CheckStatus::kOutside, CheckStatus::kCannotTell,
                                                    CheckStatus::kCannotTell}));
  EXPECT_EQ(history.checks[0].latest, "why supply");
  const std::string text = output::FormatCheckHistory(
      history, {sessions[0].start, sessions[1].start, sessions[2].start});
  EXPECT_THAT(text, HasSubstr("supply  OUT  ?  ?  why supply (session 1)"));
}

TEST(CheckHistory, NothingToldAnywhereIsNotShown) {
  std::vector<CheckedSession> sessions(1);
  sessions[0].results = {Result("signals", CheckStatus::kWithin, {}),
                         Result("supply", CheckStatus::kCannotTell, {})};
  const CheckHistory history = CheckHistoryOf(sessions, 6, 0);
  EXPECT_THAT(history.checks, IsEmpty());
  EXPECT_EQ(output::FormatCheckHistory(history, {kStart}), "");
  EXPECT_THAT(CheckHistoryOf({}, 6, 0).checks, IsEmpty());
}

// One parked stretch between each two sessions; worked example of a loss over five pauses: hours
// and per cent lost.
std::vector<CheckedSession> Parked() {
  const std::pair<double, double> kPauses[] = {
      {14.2, 0.5}, {51, 2.5}, {9.5, 0.0}, {120, 5.0}, {33, 2.0}};
  std::vector<CheckedSession> sessions;
  double charge = 80;
  WallTime at = kStart;
  const auto add = [&] {
    CheckedSession session{at, FromSeconds(1800), {}};
    session.results = {Result("standby", CheckStatus::kCannotTell,
                              {{"charge_at_start", charge, "%", {}, ""},
                               {"charge_at_end", charge, "%", {}, ""},
                               {"charge_step", 0.5, "%", {}, ""},
                               {"odometer_at_start", 1000, "km", {}, ""},
                               {"odometer_at_end", 1000, "km", {}, ""}})};
    sessions.push_back(std::move(session));
    at += FromSeconds(1800);
  };
  add();
  for (const auto& [hours, lost] : kPauses) {
    at += FromSeconds(hours * 3600);
    charge -= lost;
    add();
  }
  return sessions;
}

TEST(CheckHistory, WorkedStandbyLossBetweenSessions) {
  const auto standby = CheckHistoryOf(Parked(), 6, 60).standby;
  ASSERT_TRUE(standby.has_value());
  EXPECT_EQ(standby->pauses.size(), 5U);
  EXPECT_NEAR(standby->hours, 227.7, 1e-6);
  EXPECT_NEAR(standby->per_day, 1.054, 5e-4);
  EXPECT_NEAR(standby->uncertainty, 0.048, 5e-4);
  EXPECT_NEAR(standby->watt, 1.05402 / 100 * 60'000 / 24, 0.01);
}

TEST(CheckHistory, ShortPausesChargesAndDrivesAreNoStandbyLoss) {
  EXPECT_EQ(CheckHistoryOf(Parked(), 40, 60).standby->pauses.size(), 2U);
  auto charged = Parked();
  charged[2].results[0].figures[0].value += 30;
  EXPECT_EQ(CheckHistoryOf(charged, 6, 60).standby->pauses.size(), 4U);
  auto driven = Parked();
  for (std::size_t i = 3; i < driven.size(); ++i) {
    driven[i].results[0].figures[3].value += 12;
    driven[i].results[0].figures[4].value += 12;
  }
  EXPECT_EQ(CheckHistoryOf(driven, 6, 60).standby->pauses.size(), 4U);
}

}  // namespace
}  // namespace proofdrive::analysis
