#include "output/text/checks_text.h"

#include <gmock/gmock.h>

#include <nlohmann/json.hpp>

#include "output/json/checks_json.h"

namespace proofdrive::output {
namespace {

using analysis::CheckResult;
using analysis::CheckStatus;
using ::testing::HasSubstr;
using ::testing::Not;

CheckResult Example(const std::string& name, CheckStatus status) {
  CheckResult result;
  result.name = name;
  result.title = "Title of " + name;
  result.status = status;
  result.summary = "summary of " + name;
  result.figures = {{"resistance", 123.456, "kohm", 1.5, "10 % quantile"},
                    {"weakest_cell", 42, "", {}, "number as sent"}};
  result.limits = {{"insulation.warn", 500, "ohm/V", analysis::Mark::kPublished, "UN R100"}};
  result.roles = {{"isolation resistance", true, {"iso"}}};
  result.windows = {{true, "settled readings", {{30, 60}}}};
  result.alike = {"a monitor at its ceiling"};
  result.curves = {{"insulation over time", "time", "s", "resistance", "kohm", {0, 1}, {2, 3}}};
  result.curves[0].levels = {{2.5, "100 ohm/V"}};
  return result;
}

const std::vector<CheckResult>& Examples() {
  static const std::vector<CheckResult> list = {Example("one", CheckStatus::kOutside),
                                                Example("two", CheckStatus::kWithin),
                                                Example("three", CheckStatus::kCannotTell)};
  return list;
}

TEST(ChecksText, HeadlineCounts) {
  EXPECT_EQ(CheckHeadline(Examples()),
            "1 of 3 checks is outside limits, 1 is within limits and 1 cannot tell.");
}

TEST(ChecksText, HeadlineTellsFirstWhatCouldBeJudged) {
  const CheckResult within = Example("one", CheckStatus::kWithin);
  const CheckResult untold = Example("two", CheckStatus::kCannotTell);
  const CheckResult closer = Example("three", CheckStatus::kLookCloser);
  EXPECT_EQ(CheckHeadline({within, within, untold}),
            "2 of 3 checks could be judged: within limits; 1 cannot tell.");
  EXPECT_EQ(CheckHeadline({untold, untold}), "0 of 2 checks could be judged; 2 cannot tell.");
  EXPECT_EQ(CheckHeadline({within, within}), "2 of 2 checks are within limits.");
  EXPECT_EQ(CheckHeadline({closer, within, untold}),
            "1 of 3 checks asks to look closer, 1 is within limits and 1 cannot tell.");
}

TEST(ChecksText, HeadlineSaysHowLittleIsDescribed) {
  analysis::Coverage coverage{true, 153, 0};
  EXPECT_EQ(CheckHeadline(Examples(), coverage),
            "These definitions describe 0 of 153 identifiers of this recording: nothing can be "
            "judged.");
  coverage.described = 3;
  EXPECT_EQ(CheckHeadline(Examples(), coverage),
            "1 of 3 checks is outside limits, 1 is within limits and 1 cannot tell. These "
            "definitions describe 3 of 153 identifiers of this recording.");
  coverage.described = 50;
  EXPECT_EQ(CheckHeadline(Examples(), coverage), CheckHeadline(Examples()));
}

TEST(ChecksText, AllShowsWhatEveryAnswerRestsOn) {
  const std::string text = FormatChecks(Examples(), true);
  EXPECT_THAT(text, HasSubstr("Title of one: outside limits"));
  EXPECT_THAT(text, HasSubstr("resistance 123 +- 1.5 kohm (10 % quantile)"));
  EXPECT_THAT(text, HasSubstr("weakest_cell 42 (number as sent)"));
  EXPECT_THAT(text, HasSubstr("insulation.warn 500 ohm/V [looked up: UN R100]"));
  EXPECT_THAT(text, HasSubstr("isolation resistance (needed): iso"));
  EXPECT_THAT(text, HasSubstr("used 30 s in 1 part: settled readings"));
  EXPECT_THAT(text, HasSubstr("a monitor at its ceiling"));
  EXPECT_THAT(text, HasSubstr("Title of two: within limits"));
}

// The worst first, in a few lines; those that cannot tell say what they need.
TEST(ChecksText, OnePageWithoutAll) {
  std::vector<CheckResult> results = Examples();
  std::swap(results[0], results[1]);
  results[1].findings = {"first", "second", "third", "fourth"};
  results[1].missing = {"a longer rest", "more"};
  results[2].missing = {"two rests"};
  results[2].summary = "missing: two rests";
  const std::string text = FormatChecks(results, false);
  EXPECT_LT(text.find("one    outside limits"), text.find("two    within limits"));
  EXPECT_THAT(text, HasSubstr("CANNOT TELL  NEEDS\nthree        two rests\n"));
  EXPECT_THAT(text, HasSubstr("  - second\n  - to tell more it needs a longer rest\n"));
  EXPECT_THAT(text, Not(HasSubstr("third")));
  EXPECT_THAT(text, Not(HasSubstr("insulation.warn")));
  EXPECT_THAT(text, Not(HasSubstr("Title of two")));
  EXPECT_THAT(text, HasSubstr("add --all."));
}

TEST(ChecksText, WhatSeveralChecksSayOfOnePlaceComesFirst) {
  std::vector<CheckResult> results = Examples();
  results[0].joined = {"2 findings point to one place, cells 41 to 44: a; b"};
  const std::string text = FormatChecks(results, false);
  const auto at = text.find("2 findings point to one place, cells 41 to 44: a; b.\n");
  EXPECT_NE(at, std::string::npos);
  EXPECT_LT(at, text.find("CHECK"));
}

TEST(ChecksText, SaysWhereAFactIsStated) {
  std::vector<CheckResult> results = Examples();
  EXPECT_THAT(FormatChecks(results, false), Not(HasSubstr("facts:")));
  results[2].missing = {"the capacity when new (pack.capacity), to judge it"};
  EXPECT_THAT(FormatChecks(results, false),
              HasSubstr("Facts about the car, such as pack.capacity, are stated once below "
                        "\"facts:\" in its"));
}

TEST(ChecksText, TheCautionThatFitsStandsFirstAndOnce) {
  std::vector<CheckResult> results = Examples();
  const std::string maker = FormatChecks(results, false);
  EXPECT_THAT(maker, HasSubstr("Before you touch, charge or drive: A recording only shows what"));
  results[0].name = "insulation";
  const std::string wet = FormatChecks(results, false);
  const auto at = wet.find("Before you touch, charge or drive: A pack that has had coolant");
  EXPECT_NE(at, std::string::npos);
  EXPECT_LT(at, wet.find("CHECK"));
  EXPECT_EQ(wet.find("A pack that has had coolant", at + 50), std::string::npos);
  EXPECT_THAT(wet, Not(HasSubstr("Never bridge")));
}

TEST(ChecksText, AllHasEveryCautionOnce) {
  const std::string text = FormatChecks(Examples(), true);
  for (const Caution& caution : CheckCautions()) {
    const auto at = text.find(caution.text.substr(0, 30));
    EXPECT_NE(at, std::string::npos) << caution.text;
    EXPECT_EQ(text.find(caution.text.substr(0, 30), at + 1), std::string::npos) << caution.text;
  }
  EXPECT_GE(CheckCautions().size(), 5U);
}

TEST(ChecksJson, EverythingIsThere) {
  const auto json = nlohmann::json::parse(ChecksJson(Examples()));
  ASSERT_EQ(json["checks"].size(), 3U);
  const auto& one = json["checks"][0];
  EXPECT_EQ(one["status"], "outside limits");
  EXPECT_EQ(one["figures"][0]["value"], 123.456);
  EXPECT_EQ(one["limits"][0]["mark"], "looked up");
  EXPECT_EQ(one["windows"][0]["spans"][0]["to_s"], 60);
  EXPECT_EQ(one["curves"][0]["y"]["values"][1], 3);
  EXPECT_EQ(one["curves"][0]["levels"][0]["value"], 2.5);
  EXPECT_EQ(one["looks_the_same"][0], "a monitor at its ceiling");
  EXPECT_FALSE(json["cautions"].empty());
}

// What others rest on comes before them.
TEST(ByUrgency, ContradictingDefinitionsComeFirstAndWhatCannotTellLast) {
  std::vector<CheckResult> results;
  const auto add = [&](const char* name, CheckStatus status) {
    results.emplace_back();
    results.back().name = name;
    results.back().status = status;
  };
  add("definitions", CheckStatus::kLookCloser);
  add("signals", CheckStatus::kCannotTell);
  add("insulation", CheckStatus::kWithin);
  add("balance", CheckStatus::kLookCloser);
  add("supply", CheckStatus::kOutside);
  std::string order;
  for (const CheckResult& one : ByUrgency(results)) order += one.name + " ";
  EXPECT_EQ(order, "definitions supply balance insulation signals ");
  results[0].status = CheckStatus::kWithin;
  EXPECT_EQ(ByUrgency(results)[0].name, "supply");
}

}  // namespace
}  // namespace proofdrive::output
