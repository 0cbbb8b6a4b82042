#include "output/sheet/comparison_sheet.h"

#include <gmock/gmock.h>

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using testing::ElementsAre;
using testing::Field;

Comparison WithOneFrame() {
  auto definitions = std::make_shared<decoders::Definitions>();
  definitions->frames.resize(1);
  definitions->frames[0].name = "pack_status";
  Comparison comparison;
  comparison.before.definitions = definitions;
  comparison.after.definitions = definitions;
  comparison.before.faults.resize(1);
  comparison.after.faults.resize(1);
  return comparison;
}

TEST(ComparisonSheets, UnitsAndTrafficAlwaysSaySomething) {
  EXPECT_THAT(ComparisonSheets(Comparison(), false),
              ElementsAre(Field(&Sheet::name, "Control units"), Field(&Sheet::name, "Traffic")));
}

TEST(ComparisonSheets, FaultsHaveARowForEachKindSeen) {
  Comparison comparison = WithOneFrame();
  comparison.before.faults[0].counter_faults = 1200;
  comparison.after.faults[0].wrong_length = 2;
  const std::vector<Sheet> sheets = ComparisonSheets(comparison, true);
  ASSERT_EQ(sheets.size(), 3u);
  EXPECT_EQ(sheets[0].name, "Frames with faults") << "those with rows come first";
  EXPECT_THAT(sheets[0].rows,
              ElementsAre(ElementsAre("pack_status", "counter out of step", "1,200", "0"),
                          ElementsAre("pack_status", "length wrong", "0", "2")));
}

// Both answers are "within limits": that the figure fell is told all the same.
TEST(ComparisonSheets, FiguresOfChecksAreShownBeforeAndAfter) {
  Comparison comparison;
  analysis::CheckPair pair;
  pair.title = "Insulation";
  pair.before.status = pair.after.status = analysis::CheckStatus::kWithin;
  pair.after.summary = "above 500 ohm/V";
  analysis::FigureComparison figure;
  figure.words = "insulation";
  figure.unit = "kohm";
  figure.is_main = figure.is_ratio = true;
  figure.before = 4000;
  figure.after = 1500;
  figure.amount = 0.38;
  figure.low = 0.34;
  figure.high = 0.42;
  figure.change = analysis::FigureChange::kFell;
  figure.conditions = "at equal temperature (16 and 18 degC)";
  pair.figures.push_back(figure);
  figure.words = "something else";
  figure.is_main = false;
  figure.change = analysis::FigureChange::kNotKnown;
  pair.figures.push_back(figure);
  comparison.checks.push_back(pair);
  EXPECT_THAT(
      ComparisonSheets(comparison, false).front().rows,
      ElementsAre(ElementsAre("Insulation", "within limits", "within limits", "above 500 ohm/V"),
                  ElementsAre("- insulation", "4000 kohm", "1500 kohm",
                              "fell to 38 % (34 to 42 %) at equal temperature (16 and 18 degC)")));
  EXPECT_EQ(ComparisonSheets(comparison, true).front().rows.size(), 3U);
}

TEST(ComparisonSheets, WorstCheckComesFirst) {
  Comparison comparison;
  for (const auto status : {analysis::CheckStatus::kWithin, analysis::CheckStatus::kOutside}) {
    analysis::CheckPair pair;
    pair.title = std::string(CheckStatusName(status));
    pair.after.status = status;
    comparison.checks.push_back(pair);
  }
  const Sheet sheet = ComparisonSheets(comparison, false).front();
  EXPECT_EQ(sheet.rows.at(0).at(0), "outside limits");
}

TEST(ComparisonSheets, ChecksThatCannotTellInEitherSessionAreNamedTogether) {
  Comparison comparison;
  analysis::CheckPair silent;
  silent.title = "Insulation";
  silent.before.status = silent.after.status = analysis::CheckStatus::kCannotTell;
  comparison.checks.push_back(silent);
  const Sheet sheet = ComparisonSheets(comparison, false).front();
  EXPECT_EQ(sheet.name, "Checks");
  EXPECT_EQ(sheet.lead, "cannot tell in either session: Insulation");
  EXPECT_TRUE(sheet.rows.empty());
}

}  // namespace
}  // namespace proofdrive::output
