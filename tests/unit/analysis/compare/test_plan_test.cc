#include "analysis/compare/test_plan.h"

#include <gmock/gmock.h>

namespace proofdrive::analysis {
namespace {

using std::chrono::seconds;
using ::testing::ElementsAre;

// A comparison in which every warning is not proven.
class TestPlanOf : public ::testing::Test {
 protected:
  void Add(const std::string& name, const char* proof, int hold_s, std::uint32_t times = 1) {
    decoders::Warning warning;
    warning.name = name;
    if (proof != nullptr)
      warning.proven_by = decoders::ProvenBy{{proof, {}}, seconds(hold_s), times};
    definitions_->warnings.push_back(warning);
    WarningVerdict verdict;
    verdict.name = name;
    verdict.verdict = Verdict::kNotProven;
    verdict.after.known_at_end = true;
    verdict.after.ever_off = true;
    comparison_.warnings.push_back(verdict);
  }
  WarningVerdict& Last() { return comparison_.warnings.back(); }
  TestPlan Make() {
    comparison_.after.definitions = definitions_;
    return MakeTestPlan(comparison_);
  }

  std::shared_ptr<decoders::Definitions> definitions_ = std::make_shared<decoders::Definitions>();
  Comparison comparison_;
};

TEST_F(TestPlanOf, EqualConditionsBecomeOneStepOfTheLongestTime) {
  Add("air", "pump == high", 60);
  Add("leak", "pump  ==  high", 30);
  const TestPlan plan = Make();
  ASSERT_EQ(plan.steps.size(), 1U);
  EXPECT_EQ(plan.steps[0].hold, Duration(seconds(60)));
  EXPECT_THAT(plan.steps[0].proves, ElementsAre("air", "leak"));
  EXPECT_EQ(plan.steps[0].Sentence(),
            "60 s without a break in which pump is high (not reached yet)");
}

TEST_F(TestPlanOf, AStepThatContainsAnotherReplacesIt) {
  Add("weak", "speed > 5", 30);
  Add("alternative", "pump == low or speed > 5", 20);
  Add("strong", "speed > 50 and pump == high", 40);
  const TestPlan plan = Make();
  ASSERT_EQ(plan.steps.size(), 1U);
  EXPECT_EQ(plan.steps[0].condition, "speed > 50 and pump == high");
  EXPECT_EQ(plan.steps[0].proves.size(), 3U);
}

// 30 s above 5 km/h need not be 30 s above 50 km/h.
TEST_F(TestPlanOf, AShorterStricterStepDoesNotReplaceALongerOne) {
  Add("weak", "speed > 5", 30);
  Add("strong", "speed > 50", 10);
  EXPECT_EQ(Make().steps.size(), 2U);
}

TEST_F(TestPlanOf, ReachedIsTheLeastOfWhatIsMergedAndKnown) {
  Add("a", "pump == high", 60);
  Last().after.proven_longest = seconds(12);
  Add("b", "pump == high", 60);
  Last().after.proven_longest = seconds(7);
  Add("silent", "pump == high", 60);
  Last().after.ever_off = false;
  EXPECT_EQ(Make().steps[0].Sentence(), "60 s without a break in which pump is high (reached 7 s)");
}

TEST_F(TestPlanOf, SeveralTimes) {
  Add("contactors", "contactor == closed", 10, 3);
  EXPECT_EQ(Make().steps[0].Sentence(),
            "3 times 10 s without a break in which contactor is closed (not reached yet)");
}

TEST_F(TestPlanOf, OneLongTimeAmongSeveralShorterOnes) {
  Add("often", "pump == high", 20, 3);
  Last().after.proven_times = 2;
  Add("long", "pump == high", 30);
  const TestPlan plan = Make();
  ASSERT_EQ(plan.steps.size(), 1U);
  EXPECT_EQ(plan.steps[0].Sentence(),
            "3 times 20 s without a break in which pump is high, one of them 30 s (reached 2 of "
            "3)");
}

TEST_F(TestPlanOf, StandstillComesBeforeMoving) {
  decoders::Signal speed;
  speed.name = "speed";
  speed.role = "vehicle speed";
  definitions_->signals.push_back(speed);
  Add("drive", "speed > 5", 30);
  Add("stand", "pump == high", 30);
  const TestPlan plan = Make();
  ASSERT_EQ(plan.steps.size(), 2U);
  EXPECT_FALSE(plan.steps[0].moving);
  EXPECT_TRUE(plan.steps[1].moving);
}

TEST_F(TestPlanOf, WhatNoDriveMendsIsAnObstacle) {
  Add("no proof", nullptr, 0);
  Add("silent", "pump == high", 60);
  Last().verdict = Verdict::kNoEvidence;
  Last().after.silent = {"moisture"};
  Add("never set", "pump == high", 60);
  Last().verdict = Verdict::kNoEvidence;
  Last().after.proven = true;
  const TestPlan plan = Make();
  ASSERT_EQ(plan.obstacles.size(), 3U);
  EXPECT_THAT(plan.obstacles[0].what, ::testing::HasSubstr("write \"proven by\" for it"));
  EXPECT_THAT(plan.obstacles[1].what, ::testing::HasSubstr("Nothing was received of moisture"));
  EXPECT_THAT(plan.obstacles[2].what, ::testing::HasSubstr("Nothing shows that it was ever set"));
  ASSERT_EQ(plan.steps.size(), 1U);  // of the silent one, once it is heard again
  EXPECT_THAT(plan.steps[0].proves, ElementsAre("silent"));
}

TEST_F(TestPlanOf, WhatIsClearedOrOnNeedsNoStep) {
  Add("cleared", "pump == high", 60);
  Last().verdict = Verdict::kCleared;
  Add("on", "pump == high", 60);
  Last().verdict = Verdict::kStillOn;
  EXPECT_TRUE(Make().empty());
}

}  // namespace
}  // namespace proofdrive::analysis
