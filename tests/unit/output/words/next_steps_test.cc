#include "output/words/next_steps.h"

#include <gmock/gmock.h>

#include "output/words/topics.h"

namespace proofdrive::output {
namespace {

using analysis::CheckPair;
using analysis::CheckStatus;
using analysis::Comparison;
using analysis::PlaceFit;
using analysis::Verdict;
using decoders::WarningSeverity;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

Comparison WithFrame() {
  Comparison comparison;
  auto definitions = std::make_shared<decoders::Definitions>();
  definitions->frames.emplace_back().name = "supply";
  comparison.before.definitions = comparison.after.definitions = definitions;
  return comparison;
}

void Add(Comparison& comparison, const char* name, Verdict verdict, WarningSeverity severity) {
  analysis::WarningVerdict& one = comparison.warnings.emplace_back();
  one.name = name;
  one.verdict = verdict;
  one.severity = severity;
}

CheckPair Pair(const char* title, CheckStatus before, CheckStatus after) {
  CheckPair pair;
  pair.title = title;
  pair.before.status = before;
  pair.after.status = after;
  return pair;
}

TEST(NextSteps, NothingToDoIsNothingSaid) {
  Comparison comparison = WithFrame();
  Add(comparison, "w", Verdict::kCleared, WarningSeverity::kStop);
  EXPECT_THAT(NextSteps(comparison), IsEmpty());
}

TEST(NextSteps, TheWorstThatIsOpenComesFirst) {
  Comparison comparison = WithFrame();
  Add(comparison, "note_on", Verdict::kStillOn, WarningSeverity::kNote);
  Add(comparison, "lock_open", Verdict::kCameBack, WarningSeverity::kStop);
  Add(comparison, "leak", Verdict::kStillOn, WarningSeverity::kStop);
  EXPECT_THAT(NextSteps(comparison),
              ElementsAre("First, severity stop: leak (still on) and lock_open (came back)."));
}

TEST(NextSteps, MovedFramesAreToldWithWhatToWrite) {
  Comparison comparison = WithFrame();
  analysis::DefinitionChange& change = comparison.definitions.emplace_back();
  change.frame = "supply";
  change.places = {{{"body", 0x241, 0, ""}, 1, PlaceFit::kFits, ""}};
  EXPECT_THAT(NextSteps(comparison),
              ElementsAre("Frames moved: add \"moved to: 0x241\" to frame supply, then compare "
                          "again with --definitions FILE; both recordings are read."));
  change.places[0].fit = PlaceFit::kNotTold;
  EXPECT_THAT(NextSteps(comparison), ElementsAre(HasSubstr("no checksum or counter confirms")));
  change.places[0].fit = PlaceFit::kDoesNotFit;
  EXPECT_THAT(NextSteps(comparison), IsEmpty());
}

TEST(NextSteps, ChecksThatGotWorseAndThoseStillOutside) {
  Comparison comparison = WithFrame();
  comparison.checks = {Pair("Insulation", CheckStatus::kWithin, CheckStatus::kLookCloser),
                       Pair("Supply", CheckStatus::kOutside, CheckStatus::kOutside),
                       Pair("Cooling", CheckStatus::kOutside, CheckStatus::kLookCloser),
                       Pair("Range", CheckStatus::kCannotTell, CheckStatus::kOutside)};
  EXPECT_THAT(NextSteps(comparison),
              ElementsAre("Find out what made Insulation worse: see the checks below.",
                          "Look into Supply and Range: outside limits in the after-session."));
}

TEST(JoinedFindings, OfTheAfterSession) {
  Comparison comparison = WithFrame();
  comparison.checks = {Pair("Insulation", CheckStatus::kWithin, CheckStatus::kOutside)};
  comparison.checks[0].after.joined = {"2 findings point to one place, cell 4: a; b"};
  EXPECT_THAT(JoinedFindings(comparison),
              ElementsAre("In the after-session 2 findings point to one place, cell 4: a; b."));
}

TEST(Topics, OfWhatIsOpenAndOfWhatDried) {
  Comparison comparison = WithFrame();
  auto definitions = std::make_shared<decoders::Definitions>();
  decoders::Signal& signal = definitions->signals.emplace_back();
  signal.name = "insulation";
  signal.role = "isolation resistance";
  decoders::Warning& warning = definitions->warnings.emplace_back();
  warning.name = "weak";
  warning.when.text = "insulation < 100";
  comparison.after.definitions = definitions;
  Add(comparison, "weak", Verdict::kStillOn, WarningSeverity::kStop);
  EXPECT_THAT(ComparisonTopics(comparison), ElementsAre(CautionTopic::kWetPack));
  comparison.warnings[0].verdict = Verdict::kCleared;
  EXPECT_THAT(ComparisonTopics(comparison), ElementsAre(CautionTopic::kDriedPack));
  comparison.warnings[0].verdict = Verdict::kOffInBoth;
  EXPECT_THAT(ComparisonTopics(comparison), IsEmpty());
  EXPECT_EQ(WarningTopic(*definitions, "another"), CautionTopic::kPack);
}

}  // namespace
}  // namespace proofdrive::output
