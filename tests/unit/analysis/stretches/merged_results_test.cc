#include "analysis/stretches/merged_results.h"

#include <gmock/gmock.h>

#include "analysis/checks/checks.h"

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::IsSupersetOf;
using ::testing::StartsWith;

CheckResult Result(const char* name, CheckStatus status, const char* summary) {
  CheckResult result;
  result.name = name;
  result.status = status;
  result.summary = summary;
  return result;
}

// One check, whose stretches say this; `whole`: what is said of all.
CheckResult Merge(const char* name, const std::vector<CheckStatus>& stretches, CheckStatus whole) {
  MergedResults merged;
  double from = 0;
  for (const CheckStatus status : stretches) {
    merged.Add({from, from + 3600}, {Result(name, status, "so it is")});
    from += 3600;
  }
  return merged.Finish({Result(name, whole, "as a whole it is")}, {1'000'000, 5'000}).front();
}

constexpr auto kOutside = CheckStatus::kOutside;
constexpr auto kCloser = CheckStatus::kLookCloser;
constexpr auto kTell = CheckStatus::kCannotTell;
constexpr auto kWithin = CheckStatus::kWithin;

TEST(MergedResults, TheWorstOfAnyStretchIsTheAnswer) {
  EXPECT_EQ(Merge("contactors", {kWithin, kTell, kOutside, kCloser}, kWithin).status, kOutside);
  EXPECT_EQ(Merge("contactors", {kWithin, kCloser, kTell}, kWithin).status, kCloser);
  EXPECT_EQ(Merge("contactors", {kTell, kTell}, kWithin).status, kTell)
      << "thinned signals say nothing of what is fast";
  EXPECT_EQ(Merge("contactors", {kWithin, kWithin}, kOutside).status, kWithin);
}

TEST(MergedResults, WhatIsSlowIsJudgedAsAWhole) {
  EXPECT_EQ(Merge("capacity", {kWithin, kTell}, kTell).status, kTell);
  EXPECT_EQ(Merge("capacity", {kTell, kTell}, kWithin).status, kWithin);
  EXPECT_EQ(Merge("capacity", {kWithin, kWithin}, kOutside).status, kOutside);
  EXPECT_EQ(Merge("range", {kWithin, kOutside}, kWithin).status, kWithin)
      << "a stretch does not know the end";
}

TEST(MergedResults, WhatIsBothIsWithinOnlyWhenBothSaySo) {
  EXPECT_EQ(Merge("balance", {kWithin, kOutside}, kWithin).status, kOutside);
  EXPECT_EQ(Merge("balance", {kWithin, kWithin}, kCloser).status, kCloser);
  EXPECT_EQ(Merge("balance", {kWithin, kWithin}, kTell).status, kTell);
  EXPECT_EQ(Merge("balance", {kWithin, kWithin}, kWithin).status, kWithin);
  EXPECT_EQ(Merge("a new one", {kWithin, kWithin}, kTell).status, kTell);
}

TEST(MergedResults, SaysWhereAndHowItWasJudged) {
  const CheckResult bad = Merge("supply", {kWithin, kOutside, kTell, kCloser}, kWithin);
  EXPECT_THAT(bad.summary, StartsWith("between 1 h"));
  EXPECT_THAT(bad.summary, HasSubstr("so it is"));
  EXPECT_THAT(bad.findings, Contains(HasSubstr("4 stretches")));
  EXPECT_THAT(bad.findings, Contains(StartsWith("between 3 h")));
  const CheckResult good = Merge("contactors", {kWithin, kWithin}, kTell);
  EXPECT_THAT(good.summary, HasSubstr("2 of 2 stretches are within limits"));
  const CheckResult whole = Merge("standby", {kTell, kTell}, kWithin);
  EXPECT_THAT(whole.findings, Contains(HasSubstr("5,000 of 1,000,000 values")));
}

TEST(MergedResults, ManyAlarmsAreCounted) {
  const CheckResult bad = Merge("supply", std::vector<CheckStatus>(20, kOutside), kWithin);
  EXPECT_THAT(bad.findings, Contains(HasSubstr("15 more of the stretches")));
}

TEST(MergedResults, FiguresSayOfWhichStretchTheyAre) {
  MergedResults merged;
  CheckResult first = Result("supply", kWithin, "it is");
  first.figures.push_back({"lowest", 12, "V", {}, ""});
  merged.Add({0, 3600}, {first});
  CheckResult none = Result("supply", kTell, "it cannot");
  none.nothing_judged = true;
  merged.Add({3600, 7200}, {none});
  const CheckResult one = merged.Finish({Result("supply", kTell, "no")}, {}).front();
  EXPECT_THAT(one.findings, Contains(HasSubstr("figures and plots are those between 0 s and 1 h")));
}

TEST(MergedResults, WhatSignalsStandOnIsTheBestThatWasSeen) {
  MergedResults merged;
  CheckResult guess = Result("signals", kWithin, "it is");
  guess.stands_on = {{"volt", decoders::KnownFrom::kGuess, true}};
  CheckResult measured = guess;
  measured.stands_on[0].known_from = decoders::KnownFrom::kMeasurement;
  measured.measured = {"measured at noon"};
  merged.Add({0, 1}, {guess});
  merged.Add({1, 2}, {measured});
  merged.Add({2, 3}, {guess});
  const CheckResult one = merged.Finish({guess}, {}).front();
  ASSERT_EQ(one.stands_on.size(), 1U);
  EXPECT_EQ(one.stands_on[0].known_from, decoders::KnownFrom::kMeasurement);
  EXPECT_EQ(one.measured, std::vector<std::string>{"measured at noon"});
}

// A signal that only all of the recording shows to be unusable was used by stretches.
TEST(MergedResults, DoubtTakesGoodNewsBack) {
  CheckResult good = Result("resistance", kWithin, "so it is");
  good.roles = {{"pack current", true, {"amps"}}};
  MergedResults merged;
  merged.Add({0, 3600}, {good});
  merged.Add({3600, 7200}, {good});
  const CheckResult one =
      merged.Finish({good}, {}, {{"pack current", "amps never changes"}}).front();
  EXPECT_EQ(one.status, kTell);
  EXPECT_EQ(one.summary, "amps never changes");
  EXPECT_THAT(one.missing, Contains("amps never changes"));
}

// What a stretch cannot tell although the signals are there could be the fault.
TEST(MergedResults, WhatCouldNotBeToldIsNotWithin) {
  CheckResult judged = Result("contactors", kTell, "it depends");
  CheckResult nothing = judged;
  nothing.nothing_judged = true;
  const CheckResult good = Result("contactors", kWithin, "so it is");
  for (const bool any : {true, false}) {
    MergedResults merged;
    merged.Add({0, 3600}, {good});
    merged.Add({3600, 7200}, {any ? judged : nothing});
    EXPECT_EQ(merged.Finish({good}, {}).front().status, any ? kTell : kWithin);
  }
}

TEST(MergedResults, TheSupplyIsWithinOnlyInEveryStretchThatHasIt) {
  CheckResult good = Result("supply", kWithin, "so it is");
  good.roles = {{"supply voltage", true, {"volt"}}};
  CheckResult none = Result("supply", kTell, "it cannot be told");
  none.nothing_judged = true;
  none.roles = good.roles;
  for (const bool received : {true, false}) {
    if (!received) none.roles[0].signals.clear();
    MergedResults merged;
    merged.Add({0, 3600}, {good});
    merged.Add({3600, 7200}, {none});
    const CheckResult one = merged.Finish({good}, {}).front();
    EXPECT_EQ(one.status, received ? kTell : kWithin) << one.summary;
  }
}

// A stretch without a closing is not asked; one whose closing is not known is.
TEST(MergedResults, PrechargeIsWithinOnlyWhenEveryClosingIsKnown) {
  const CheckResult good = Result("precharge", kWithin, "so it is");
  for (const bool closes : {true, false}) {
    CheckResult none = Result("precharge", kTell, "it cannot be told");
    none.nothing_judged = true;
    if (closes) none.figures.push_back({"closing_share", 0, "%", {}, ""});
    MergedResults merged;
    merged.Add({0, 3600}, {good});
    merged.Add({3600, 7200}, {none});
    EXPECT_EQ(merged.Finish({good}, {}).front().status, closes ? kTell : kWithin);
  }
}

// The last minutes of a drive say little of a resistance that a whole drive knows well.
TEST(MergedResults, AResistanceThatIsBetterKnownElsewhereIsNoAlarm) {
  for (const double error : {5.0, 2.0}) {
    CheckResult good = Result("resistance", kWithin, "none stands out");
    good.figures.push_back({"pack_resistance", 100, "mohm", 1.0, ""});
    CheckResult bad = Result("resistance", kCloser, "cell 7 has more");
    bad.figures.push_back({"pack_resistance", 100, "mohm", error, ""});
    MergedResults merged;
    merged.Add({0, 3600}, {good});
    merged.Add({3600, 7200}, {bad});
    const CheckResult one = merged.Finish({good}, {}).front();
    EXPECT_EQ(one.status, error > 3 ? kTell : kCloser);
    EXPECT_THAT(one.summary, HasSubstr("cell 7 has more")) << "the user is told";
  }
}

TEST(MergedResults, EveryCheckIsJudgedSomehow) {
  for (const CheckRow& row : AllChecks()) {
    const HowJudged how = HowIsJudged(row.name);
    EXPECT_EQ(how.check, row.name);
    EXPECT_TRUE(how.stretches || how.whole) << row.name;
    EXPECT_TRUE(how.whole || !how.whole_decides) << row.name;
  }
  const HowJudged unknown = HowIsJudged("a new one");
  EXPECT_TRUE(unknown.stretches && unknown.whole && unknown.whole_decides);
}

}  // namespace
}  // namespace proofdrive::analysis
