#include "output/report/check_section.h"

#include <gmock/gmock.h>

#include <limits>
#include <nlohmann/json.hpp>

#include "output/text/checks_text.h"

namespace proofdrive::output {
namespace {

using analysis::CheckResult;
using analysis::CheckStatus;
using analysis::Curve;
using analysis::CurveShape;
using ::testing::HasSubstr;
using ::testing::Not;

CheckResult Example(const std::string& title, CheckStatus status) {
  CheckResult result;
  result.name = title;
  result.title = title;
  result.status = status;
  result.summary = "summary of <" + title + ">";
  result.findings = {"finding of " + title};
  result.alike = {"look-alike of " + title};
  result.limits = {{"insulation.warn", 500, "ohm/V", analysis::Mark::kPublished, "UN R100"}};
  return result;
}

Curve Bars() {
  Curve curve{"resistance per cell", "cell", "", "resistance", "mohm", {1, 2, 3}, {4, 9, 4}};
  curve.shape = CurveShape::kBars;
  curve.levels = {{4, "median"}};
  curve.marked = {2};
  return curve;
}

nlohmann::json DataOf(const Charts& charts) { return nlohmann::json::parse(charts.Data()); }

TEST(CheckSection, NothingWithoutResults) {
  Charts charts;
  EXPECT_TRUE(CheckSection({}, charts).body.empty());
  EXPECT_TRUE(CheckLine({}).empty());
  EXPECT_EQ(charts.count(), 0U);
}

TEST(CheckSection, EveryAnswerAndWhatTheOpenOnesRestOn) {
  Charts charts;
  CheckResult untold = Example("Standby", CheckStatus::kCannotTell);
  untold.missing = {"a longer pause"};
  const std::string html = CheckSection({Example("Insulation", CheckStatus::kOutside),
                                         Example("Supply", CheckStatus::kWithin), untold},
                                        charts)
                               .body.str();
  EXPECT_THAT(html, HasSubstr("1 of 3 checks is outside limits"));
  EXPECT_THAT(html, HasSubstr("summary of &lt;Insulation&gt;"));
  EXPECT_THAT(html, HasSubstr("finding of Insulation"));
  EXPECT_THAT(html, HasSubstr("look-alike of Insulation"));
  EXPECT_THAT(html, HasSubstr("insulation.warn 500 ohm/V [looked up: UN R100]"));
  EXPECT_THAT(html, HasSubstr("summary of &lt;Supply&gt;"));
  EXPECT_THAT(html, Not(HasSubstr("finding of Supply"))) << "within limits: a row is enough";
  EXPECT_THAT(html, HasSubstr("needs a longer pause"));
}

TEST(CheckSection, WhatSeveralChecksSayOfOnePlaceComesFirst) {
  Charts charts;
  CheckResult result = Example("Insulation", CheckStatus::kOutside);
  result.joined = {"2 findings point to one place, cells 41 to 44: a; b"};
  const std::string html = CheckSection({result}, charts).body.str();
  EXPECT_LT(html.find("<p>2 findings point to one place"), html.find("<table>"));
}

// On top the one that fits; the others in a section of their own, each once.
TEST(Cautions, OneOnTopAndTheOthersBelow) {
  const CautionTopic topics[] = {CautionTopic::kInterlock};
  const std::string top = CautionBox(topics).str();
  const std::string below = CautionSection(CheckCautions(), topics).body.str();
  for (const Caution& caution : CheckCautions()) {
    const std::string part = caution.text.substr(0, 20);
    const bool fits = part.starts_with("Never bridge");
    EXPECT_EQ(top.find(part) != std::string::npos, fits) << part;
    EXPECT_EQ(below.find(part) != std::string::npos, !fits) << part;
  }
}

TEST(CheckSection, NoSignalFound) {
  Charts charts;
  EXPECT_THAT(CheckSection({Example("Supply", CheckStatus::kCannotTell)}, charts).body.str(),
              HasSubstr("none that could be used was received"));
}

TEST(CheckSection, CurvesArePlottedAndNamed) {
  Charts charts;
  CheckResult result = Example("Internal resistance", CheckStatus::kOutside);
  result.curves = {Bars(), Curve{"empty", "x", "", "y", "", {}, {}}};
  const std::string html = CheckSection({result}, charts).body.str();
  EXPECT_EQ(charts.count(), 1U);
  EXPECT_THAT(html, HasSubstr("<strong>Resistance per cell</strong>: resistance in mohm, by cell; "
                              "standing out: cell 2"));
  EXPECT_THAT(html, HasSubstr("id=\"plot-1\""));
  const auto data = DataOf(charts);
  ASSERT_EQ(data.size(), 1U);
  EXPECT_EQ(data[0]["kind"], "bars");
  EXPECT_EQ(data[0]["y"], nlohmann::json({4, 9, 4}));
  EXPECT_EQ(data[0]["marked"], nlohmann::json({2}));
  EXPECT_EQ(data[0]["span"], nlohmann::json({0.4, 3.6}));
  EXPECT_EQ(data[0]["levels"][0][1], "median");
}

TEST(CheckSection, PointsWithWhatIsExpected) {
  Charts charts;
  Curve curve{"heat", "heat", "W", "rise", "K", {100, 200}, {1, 2}};
  curve.shape = CurveShape::kPoints;
  curve.expected = {0.5, 1};
  curve.expected_name = "full loop";
  charts.Add(curve);
  const auto data = DataOf(charts);
  EXPECT_EQ(data[0]["kind"], "points");
  EXPECT_EQ(data[0]["expected"], nlohmann::json({0.5, 1}));
  EXPECT_EQ(data[0]["span"], nlohmann::json({95, 205})) << "points do not lie on the frame";
}

TEST(CheckSection, ValuesThatAreNoNumbersLeaveValidData) {
  Charts charts;
  Curve curve{"odd", "time", "s", "y", "", {0, 1}, {std::numeric_limits<double>::infinity(), 1}};
  charts.Add(curve);
  EXPECT_EQ(DataOf(charts)[0]["y"], nlohmann::json({nullptr, 1}));
  EXPECT_EQ(DataOf(charts)[0]["kind"], "time");
}

}  // namespace
}  // namespace proofdrive::output
