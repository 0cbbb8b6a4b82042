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

TEST(ChecksText, OpenChecksShowWhatTheyRestOn) {
  const std::string text = FormatChecks(Examples(), false);
  EXPECT_THAT(text, HasSubstr("Title of one: outside limits"));
  EXPECT_THAT(text, HasSubstr("resistance 123 +- 1.5 kohm (10 % quantile)"));
  EXPECT_THAT(text, HasSubstr("weakest_cell 42 (number as sent)"));
  EXPECT_THAT(text, HasSubstr("insulation.warn 500 ohm/V [looked up: UN R100]"));
  EXPECT_THAT(text, HasSubstr("isolation resistance (needed): iso"));
  EXPECT_THAT(text, HasSubstr("used 30 s in 1 part: settled readings"));
  EXPECT_THAT(text, HasSubstr("a monitor at its ceiling"));
  EXPECT_THAT(text, Not(HasSubstr("Title of two")));
  EXPECT_THAT(FormatChecks(Examples(), true), HasSubstr("Title of two: within limits"));
}

TEST(ChecksText, SaysWhereAFactIsStated) {
  std::vector<CheckResult> results = Examples();
  EXPECT_THAT(FormatChecks(results, false), Not(HasSubstr("facts:")));
  results[2].missing = {"the capacity when new (pack.capacity), to judge it"};
  EXPECT_THAT(FormatChecks(results, false),
              HasSubstr("Facts about the car, such as pack.capacity, are stated once below "
                        "\"facts:\" in its"));
}

TEST(ChecksText, CautionsAreAlwaysThere) {
  for (const Caution& caution : CheckCautions()) {
    EXPECT_THAT(FormatChecks({}, false), HasSubstr(caution.text.substr(0, 30)));
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

}  // namespace
}  // namespace proofdrive::output
