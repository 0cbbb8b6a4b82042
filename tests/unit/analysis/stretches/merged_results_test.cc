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
  EXPECT_EQ(Merge("supply", {kWithin, kTell, kOutside, kCloser}, kWithin).status, kOutside);
  EXPECT_EQ(Merge("supply", {kWithin, kCloser, kTell}, kWithin).status, kCloser);
  EXPECT_EQ(Merge("supply", {kTell, kWithin, kTell}, kTell).status, kWithin);
  EXPECT_EQ(Merge("supply", {kTell, kTell}, kWithin).status, kTell)
      << "thinned signals say nothing of what is fast";
  EXPECT_EQ(Merge("supply", {kWithin, kWithin}, kOutside).status, kWithin);
}

TEST(MergedResults, WhatIsSlowIsWithinOnlyAsAWhole) {
  EXPECT_EQ(Merge("capacity", {kWithin, kTell}, kTell).status, kTell);
  EXPECT_EQ(Merge("capacity", {kTell, kTell}, kWithin).status, kWithin);
  EXPECT_EQ(Merge("capacity", {kWithin, kWithin}, kOutside).status, kOutside);
  EXPECT_EQ(Merge("capacity", {kWithin, kOutside}, kWithin).status, kOutside);
  EXPECT_EQ(Merge("standby", {kWithin, kCloser}, kTell).status, kCloser);
}

TEST(MergedResults, SaysWhereAndHowItWasJudged) {
  const CheckResult bad = Merge("supply", {kWithin, kOutside, kTell, kCloser}, kWithin);
  EXPECT_THAT(bad.summary, StartsWith("between 1 h"));
  EXPECT_THAT(bad.summary, HasSubstr("so it is"));
  EXPECT_THAT(bad.findings, Contains(HasSubstr("4 stretches")));
  EXPECT_THAT(bad.findings, Contains(StartsWith("between 3 h")));
  const CheckResult good = Merge("supply", {kWithin, kTell, kWithin}, kTell);
  EXPECT_THAT(good.summary, HasSubstr("2 of 3 stretches are within limits"));
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
  merged.Add({3600, 7200}, {Result("supply", kTell, "it cannot")});
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

// What is kept of the whole is what these checks ask for.
TEST(MergedResults, RolesOfTheWholeAreThoseOfItsChecks) {
  std::vector<std::string> kept;
  for (const decoders::RoleName& role : RolesOfTheWhole())
    kept.emplace_back(std::string_view(role));
  int checks = 0;
  for (const CheckRow& row : AllChecks()) {
    if (!IsOfTheWhole(row.name)) continue;
    ++checks;
    for (const auto& list : {row.needs, row.uses}) {
      for (const decoders::RoleName& role : list) {
        EXPECT_THAT(kept, Contains(std::string(std::string_view(role)))) << row.name;
      }
    }
  }
  EXPECT_EQ(checks, 3);
}

}  // namespace
}  // namespace proofdrive::analysis
