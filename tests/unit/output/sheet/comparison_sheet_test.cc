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
  EXPECT_THAT(ComparisonSheets(Comparison()),
              ElementsAre(Field(&Sheet::name, "Control units"), Field(&Sheet::name, "Traffic")));
}

TEST(ComparisonSheets, FaultsHaveARowForEachKindSeen) {
  Comparison comparison = WithOneFrame();
  comparison.before.faults[0].counter_faults = 1200;
  comparison.after.faults[0].wrong_length = 2;
  const std::vector<Sheet> sheets = ComparisonSheets(comparison);
  ASSERT_EQ(sheets.size(), 3u);
  EXPECT_EQ(sheets[2].name, "Frames with faults");
  EXPECT_THAT(sheets[2].rows,
              ElementsAre(ElementsAre("pack_status", "counter out of step", "1,200", "0"),
                          ElementsAre("pack_status", "length wrong", "0", "2")));
}

TEST(ComparisonSheets, ChecksThatCannotTellInEitherSessionAreNamedTogether) {
  Comparison comparison;
  analysis::CheckPair silent;
  silent.title = "Insulation";
  silent.before.status = silent.after.status = analysis::CheckStatus::kCannotTell;
  comparison.checks.push_back(silent);
  const Sheet sheet = ComparisonSheets(comparison).back();
  EXPECT_EQ(sheet.name, "Checks");
  EXPECT_EQ(sheet.lead, "cannot tell in either session: Insulation");
  EXPECT_TRUE(sheet.rows.empty());
}

}  // namespace
}  // namespace proofdrive::output
