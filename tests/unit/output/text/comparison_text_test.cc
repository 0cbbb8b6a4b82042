#include "output/text/comparison_text.h"

#include <gtest/gtest.h>

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using analysis::Verdict;

Comparison With(const std::vector<Verdict>& verdicts) {
  Comparison comparison;
  comparison.before.definitions = std::make_shared<decoders::Definitions>();
  comparison.after.definitions = comparison.before.definitions;
  for (const Verdict verdict : verdicts) {
    analysis::WarningVerdict warning;
    warning.name = "w";
    warning.verdict = verdict;
    comparison.warnings.push_back(warning);
  }
  return comparison;
}

TEST(Headline, LeadsWithWhatMattersMost) {
  EXPECT_EQ(Headline(With({Verdict::kStillOn, Verdict::kStillOn, Verdict::kCameBack, Verdict::kNew,
                           Verdict::kNotProven, Verdict::kNoEvidence, Verdict::kNoEvidence,
                           Verdict::kCleared, Verdict::kCleared, Verdict::kCleared,
                           Verdict::kOffInBoth})),
            "2 of 11 warnings are still on, 1 came back, 1 is new, 1 is not proven, 2 have no "
            "evidence, 3 are cleared and 1 was off in both sessions.");
}

TEST(Headline, OneAndNone) {
  EXPECT_EQ(Headline(With({Verdict::kStillOn, Verdict::kOffInBoth})),
            "1 of 2 warnings is still on and 1 was off in both sessions.");
  EXPECT_EQ(Headline(With({Verdict::kCleared, Verdict::kOffInBoth, Verdict::kOffInBoth})),
            "1 of 3 warnings is cleared and 2 were off in both sessions.");
  EXPECT_EQ(Headline(With({Verdict::kCleared, Verdict::kCleared})), "2 of 2 warnings are cleared.");
}

TEST(Headline, OnlyWarning) {
  EXPECT_EQ(Headline(With({Verdict::kCleared})), "The only warning is cleared.");
  EXPECT_EQ(Headline(With({Verdict::kNoEvidence})), "The only warning has no evidence.");
}

TEST(Headline, NothingToJudgeIsSaid) {
  EXPECT_EQ(
      Headline(With({})),
      "No warning could be judged: the definition files define none; what control units told, "
      "signals and traffic are compared.");
  EXPECT_EQ(Headline(Comparison()),
            "No warning could be judged: there are no definition files, given or stored; what "
            "control units told and the traffic are compared.");
}

// One caution, below the answer; the others on demand.
TEST(FormatComparison, OneCautionBelowTheAnswer) {
  const Comparison comparison = With({Verdict::kStillOn});
  const auto times = [](const std::string& text, const std::string& part) {
    std::size_t count = 0;
    for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++count;
    return count;
  };
  const std::string page = FormatComparison(comparison);
  const std::string live = "Before you touch, charge or drive: Treat the pack";
  EXPECT_EQ(times(page, live), 1U);
  EXPECT_LT(page.find(live), page.find("VERDICT"));
  EXPECT_EQ(times(page, "Never bridge an interlock"), 0U);
  EXPECT_EQ(times(FormatComparison(comparison, true), "Never bridge an interlock"), 1U);
}

TEST(FormatComparison, WhatWasOffInBothIsOneLineUnlessAskedFor) {
  Comparison comparison = With({Verdict::kStillOn, Verdict::kOffInBoth});
  comparison.warnings[1].name = "pack_hot";
  const std::string page = FormatComparison(comparison);
  EXPECT_NE(page.find("Off in both sessions: pack_hot.\n"), std::string::npos) << page;
  EXPECT_EQ(page.find("off in both  "), std::string::npos);
  EXPECT_NE(FormatComparison(comparison, true).find("off in both  "), std::string::npos);
}

// How it was put to the test is evidence for --all; that it stands on a guess is not.
TEST(FormatComparison, WhatIsClearedTakesALine) {
  Comparison comparison = With({Verdict::kStillOn, Verdict::kCleared});
  comparison.warnings[1].name = "coolant_low";
  comparison.warnings[1].text = "Coolant level low";
  comparison.warnings[1].why = "on for 2 min before; off after, needs speed > 10 for 5 s";
  comparison.warnings[1].proviso = ", if level is right: it is a guess";
  const std::string page = FormatComparison(comparison);
  EXPECT_NE(page.find("Coolant level low: off after"), std::string::npos) << page;
  EXPECT_EQ(page.find("needs speed"), std::string::npos);
  EXPECT_NE(page.find("a guess"), std::string::npos);
  EXPECT_NE(FormatComparison(comparison, true).find("needs speed"), std::string::npos);
}

TEST(FormatComparison, SaysWhatToDoNext) {
  Comparison comparison = With({Verdict::kCameBack, Verdict::kStillOn});
  comparison.warnings[0].name = "interlock_open";
  comparison.warnings[0].severity = decoders::WarningSeverity::kStop;
  const std::string page = FormatComparison(comparison);
  EXPECT_NE(page.find("What to do next:\n  1. First, severity stop: interlock_open (came back)."),
            std::string::npos)
      << page;
}

TEST(FormatComparison, TextOfAWarningCannotBreakTheTable) {
  Comparison comparison = With({Verdict::kNew});
  comparison.warnings[0].text = std::string(300, 'x') + "\n\x1B[31m";
  const std::string text = FormatComparison(comparison);
  EXPECT_EQ(text.find('\x1B'), std::string::npos);
}

}  // namespace
}  // namespace proofdrive::output
