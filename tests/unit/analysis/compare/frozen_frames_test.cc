// A sender that repeats old data is not proof that a warning is gone.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "analysis/compare/comparison.h"
#include "analysis/compare/test_plan.h"

namespace proofdrive::analysis {
namespace {

using ::testing::HasSubstr;

constexpr Duration kLength = std::chrono::seconds(100);

// A warning on `lamps`, proven by `pump`; on before, off and proven after.
class FrozenFrames : public ::testing::Test {
 protected:
  FrozenFrames() {
    for (const char* name : {"lamps", "pump", "other"}) {
      decoders::FrameDefinition& frame = definitions_->frames.emplace_back();
      frame.name = name;
      frame.id = static_cast<std::uint32_t>(0x100 + definitions_->frames.size());
      decoders::Signal& signal = definitions_->signals.emplace_back();
      signal.name = std::string(name) + "_value";
      signal.frame = name;
    }
    decoders::Warning& warning = definitions_->warnings.emplace_back();
    warning.name = "lamp";
    warning.when.text = "lamps_value == 1";
    warning.proven_by = decoders::ProvenBy{{"pump_value > 0", {}}, std::chrono::seconds(10), 1};
    before_ = Session(decoders::WarningStateKind::kOn);
    after_ = Session(decoders::WarningStateKind::kOff);
  }

  SessionFindings Session(decoders::WarningStateKind kind) {
    SessionFindings one;
    one.definitions = definitions_;
    one.length = kLength;
    one.header.channels.resize(1);
    decoders::WarningHistory& history = one.warnings.emplace_back();
    history.spans.push_back({kind, one.start, one.start + kLength});
    history.proven = true;
    history.proven_longest = kLength;
    one.sources.resize(1);
    one.sources[0].bus_end = kLength;
    one.faults.resize(3);
    one.signals.resize(3);
    one.windows.resize(3);
    for (const decoders::FrameDefinition& frame : definitions_->frames) {
      StreamTraffic& stream = one.traffic.emplace_back();
      stream.id = frame.id;
      stream.frame = frame.name;
      stream.frames = 1000;
    }
    return one;
  }

  Comparison WithFaultsIn(std::size_t frame, std::uint64_t before, std::uint64_t after) {
    before_.faults[frame].counter_faults = before;
    after_.faults[frame].counter_faults = after;
    return Compare(before_, after_);
  }

  std::shared_ptr<decoders::Definitions> definitions_ = std::make_shared<decoders::Definitions>();
  SessionFindings before_, after_;
};

TEST_F(FrozenFrames, NothingIsWrong) {
  EXPECT_EQ(WithFaultsIn(0, 0, 0).warnings[0].verdict, Verdict::kCleared);
}

TEST_F(FrozenFrames, OfTheConditionOrOfTheProofMakeItNotProven) {
  for (const std::size_t frame : {std::size_t{0}, std::size_t{1}}) {
    const Comparison comparison = WithFaultsIn(frame, 0, 900);
    before_.faults.assign(3, {});
    after_.faults.assign(3, {});
    EXPECT_EQ(comparison.warnings[0].verdict, Verdict::kNotProven);
    const std::string& name = definitions_->frames[frame].name;
    EXPECT_EQ(comparison.warnings[0].frozen, name);
    EXPECT_THAT(comparison.warnings[0].why, HasSubstr("but the counter of " + name));
    const TestPlan plan = MakeTestPlan(comparison);
    EXPECT_TRUE(plan.steps.empty());
    ASSERT_EQ(plan.obstacles.size(), 1U);
    EXPECT_THAT(plan.obstacles[0].what, HasSubstr("The counter of " + name));
  }
}

TEST_F(FrozenFrames, AFrameThatMovedIsToldInThePlan) {
  Comparison comparison = WithFaultsIn(0, 0, 0);
  comparison.warnings[0].verdict = Verdict::kNoEvidence;
  comparison.warnings[0].after.silent = {"lamps"};
  comparison.definitions = {
      {"lamps", "", "never seen", "", "", {{{"body", 0x247, 0, ""}, 1, PlaceFit::kNotTold, ""}}}};
  EXPECT_THAT(MakeTestPlan(comparison).obstacles.at(0).what, HasSubstr("Nothing was received"));
  comparison.definitions[0].places[0].fit = PlaceFit::kFits;
  EXPECT_THAT(MakeTestPlan(comparison).obstacles.at(0).what,
              HasSubstr("add \"moved to: 0x247\" to frame lamps and compare again with"));
}

TEST_F(FrozenFrames, AFrameAtBothOfItsIdentifiersProvesNothing) {
  definitions_->frames[0].moved_to = 0x247;
  StreamTraffic& second = after_.traffic.emplace_back();
  second.id = 0x247;
  second.frame = "lamps";
  second.frames = 1000;
  const Comparison comparison = WithFaultsIn(0, 0, 0);
  EXPECT_EQ(comparison.warnings[0].verdict, Verdict::kNotProven);
  EXPECT_THAT(comparison.warnings[0].why, HasSubstr("comes with both of its identifiers"));
  EXPECT_THAT(MakeTestPlan(comparison).obstacles.at(0).what,
              HasSubstr("Both identifiers of lamps"));
}

TEST_F(FrozenFrames, ACounterThatWasWrongBeforeOrBelongsToOthersSaysNothing) {
  EXPECT_EQ(WithFaultsIn(0, 900, 900).warnings[0].verdict, Verdict::kCleared);
  EXPECT_EQ(WithFaultsIn(2, 0, 900).warnings[0].verdict, Verdict::kCleared);
}

}  // namespace
}  // namespace proofdrive::analysis
