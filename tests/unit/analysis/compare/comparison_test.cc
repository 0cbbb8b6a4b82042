#include "analysis/compare/comparison.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

using decoders::WarningSeverity;

WarningVerdict Of(const char* name, Verdict verdict, WarningSeverity severity) {
  WarningVerdict one;
  one.name = name;
  one.verdict = verdict;
  one.severity = severity;
  return one;
}

// What asks to stop stands above a note, within what is open, what is not proven, what is cleared.
TEST(Comparison, InOrderOfWhatMattersToAPerson) {
  Comparison comparison;
  comparison.warnings = {
      Of("off stop", Verdict::kOffInBoth, WarningSeverity::kStop),
      Of("cleared note", Verdict::kCleared, WarningSeverity::kNote),
      Of("cleared stop", Verdict::kCleared, WarningSeverity::kStop),
      Of("on note", Verdict::kStillOn, WarningSeverity::kNote),
      Of("not proven soon", Verdict::kNotProven, WarningSeverity::kSoon),
      Of("no evidence stop", Verdict::kNoEvidence, WarningSeverity::kStop),
      Of("came back stop", Verdict::kCameBack, WarningSeverity::kStop),
      Of("new stop", Verdict::kNew, WarningSeverity::kStop),
      Of("on stop", Verdict::kStillOn, WarningSeverity::kStop),
  };
  std::vector<std::string> names;
  for (const Judged* one : comparison.InOrder()) names.push_back(one->name);
  EXPECT_EQ(names, (std::vector<std::string>{"on stop", "came back stop", "new stop", "on note",
                                             "no evidence stop", "not proven soon", "cleared stop",
                                             "cleared note", "off stop"}));
}

TEST(PairChecks, FiguresOfBothAreSideBySide) {
  CheckResult before, after;
  before.name = after.name = "insulation";
  before.figures = {{"resistance", 4000, "kohm", 100, ""}};
  after.figures = {{"resistance", 1500, "kohm", 40, ""}};
  const auto pairs = PairChecks({before}, {after}, {});
  ASSERT_EQ(pairs.size(), 1U);
  ASSERT_EQ(pairs[0].figures.size(), 1U);
  EXPECT_EQ(pairs[0].figures[0].change, FigureChange::kFell);
  EXPECT_TRUE(PairChecks({}, {after}, {}).empty());
}

}  // namespace
}  // namespace proofdrive::analysis
