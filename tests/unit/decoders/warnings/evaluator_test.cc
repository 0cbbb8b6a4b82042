#include "decoders/warnings/evaluator.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

using ::testing::ElementsAre;
using testing::Load;

// Frame f every 100 ms: stale after 300 ms. Frame g without a period: stale after 1 s.
const char* kSignals = R"(
frames:
  f:
    id: 1
    every: 100 ms
    signals:
      level: {where: byte 0, states: {0: ok, 1: low}, absent: 0xFF}
      flow: {where: byte 1, range: 0..200}
  g:
    id: 2
    signals: {pump: {where: byte 0, states: {0: idle, 1: high}}}
    series: {cell: {first: byte 1, each: 1 byte, count: 3, absent: 0xFF}}
)";

class EvaluatorTest : public ::testing::Test {
 protected:
  // One warning with these keys.
  void Use(const std::string& keys) {
    definitions_ =
        Load(std::string(kSignals) + "warnings: {w: {text: W, severity: note, " + keys + "}}\n");
    decoder_ = Decoder::Create(definitions_, {});
    evaluator_ = WarningEvaluator::Create(definitions_);
  }
  void Feed(std::uint32_t id, int at_ms, std::vector<std::uint8_t> data) {
    std::vector<Value> values;
    decoder_->Decode(testing::MakeFrame(id, data, std::chrono::milliseconds(at_ms)), values);
    for (const Value& value : values) evaluator_->Update(value);
  }
  // Frame f every 100 ms from `from` to before `to`.
  void Level(int from, int to, std::uint8_t level, std::uint8_t flow = 50) {
    for (int at = from; at < to; at += 100) Feed(1, at, {level, flow});
  }
  void Pump(int from, int to, std::uint8_t state) {
    for (int at = from; at < to; at += 100) Feed(2, at, {state});
  }
  WarningHistory Finish(int at_ms) {
    return evaluator_->Finish(WallTime(std::chrono::milliseconds(at_ms)))[0];
  }
  static std::vector<std::string> Show(const WarningHistory& history) {
    std::vector<std::string> shown;
    for (const WarningSpan& span : history.spans) {
      shown.push_back(std::string(WarningStateName(span.kind)) + " " +
                      std::to_string(ToNanoseconds(span.from) / 1'000'000) + "-" +
                      std::to_string(ToNanoseconds(span.to) / 1'000'000));
    }
    return shown;
  }

  std::shared_ptr<const Definitions> definitions_;
  std::unique_ptr<Decoder> decoder_;
  std::unique_ptr<WarningEvaluator> evaluator_;
};

TEST_F(EvaluatorTest, FollowsItsConditionAtOnceWithoutDebouncing) {
  Use("when: level == low");
  Level(0, 500, 0);
  Level(500, 1000, 1);
  Level(1000, 1200, 0);
  const WarningHistory history = Finish(1200);
  EXPECT_THAT(Show(history), ElementsAre("off 0-500", "on 500-1000", "off 1000-1200"));
  EXPECT_EQ(history.known, std::chrono::milliseconds(1200));
  EXPECT_EQ(history.on, std::chrono::milliseconds(500));
  EXPECT_EQ(history.times_set, 1U);
  EXPECT_EQ(ToNanoseconds(*history.first_set), 500'000'000);
  EXPECT_EQ(history.at_end, WarningStateKind::kOff);
  EXPECT_EQ(history.why_unknown, "");
}

TEST_F(EvaluatorTest, IsSetExactlyWhenItsTimeIsOver) {
  Use("when: level == low, on after: 250 ms");
  Level(0, 500, 0);
  Level(500, 1000, 1);
  EXPECT_THAT(Show(Finish(1000)), ElementsAre("off 0-750", "on 750-1000"));
}

TEST_F(EvaluatorTest, ShortConditionsDoNotSetIt) {
  Use("when: level == low, on after: 250 ms");
  Level(0, 500, 0);
  Level(500, 700, 1);
  Level(700, 900, 0);
  Level(900, 1100, 1);
  EXPECT_THAT(Show(Finish(1100)), ElementsAre("off 0-1100"));
}

TEST_F(EvaluatorTest, ConditionOverExactlyAtItsTimeStillSetsIt) {
  Use("when: level == low, on after: 200 ms");
  Level(0, 500, 0);
  Level(500, 700, 1);
  Level(700, 900, 0);
  EXPECT_THAT(Show(Finish(900)), ElementsAre("off 0-900")) << "over before time moved past it";
}

TEST_F(EvaluatorTest, ClearsOnlyAfterItsClearTime) {
  Use("when: level == low, off after: 350 ms");
  Level(0, 200, 1);
  Level(200, 400, 0);
  Level(400, 500, 1);
  Level(500, 1000, 0);
  EXPECT_THAT(Show(Finish(1000)), ElementsAre("on 0-850", "off 850-1000"));
}

TEST_F(EvaluatorTest, BeforeItIsFirstKnownItIsUnknown) {
  Use("when: level == low, on after: 250 ms");
  Pump(0, 300, 0);
  Level(300, 1000, 1);
  const WarningHistory history = Finish(1000);
  EXPECT_THAT(Show(history), ElementsAre("unknown 0-550", "on 550-1000"));
  EXPECT_EQ(history.known, std::chrono::milliseconds(450));
}

TEST_F(EvaluatorTest, OffIsKnownAtOnceWhenNothingIsToBeCleared) {
  Use("when: level == low, off after: 5 s");
  Level(0, 300, 0);
  EXPECT_THAT(Show(Finish(300)), ElementsAre("off 0-300"));
}

TEST_F(EvaluatorTest, SilenceOfThreePeriodsMakesItUnknown) {
  Use("when: level == low");
  Level(0, 300, 1);  // last at 200
  Pump(300, 1000, 0);
  const WarningHistory history = Finish(1000);
  EXPECT_THAT(Show(history), ElementsAre("on 0-500", "unknown 500-1000"));
  EXPECT_EQ(history.at_end, WarningStateKind::kUnknown);
  EXPECT_EQ(history.why_unknown, "level was not received for the last 0.8 s");
}

TEST_F(EvaluatorTest, AFrameExactlyAtItsLimitIsInTime) {
  Use("when: level == low");
  Feed(1, 0, {1, 0});
  Feed(1, 300, {1, 0});
  Feed(1, 601, {1, 0});
  EXPECT_THAT(Show(Finish(700)), ElementsAre("on 0-600", "unknown 600-601", "on 601-700"));
}

TEST_F(EvaluatorTest, WithoutAPeriodTheLimitIsOneSecond) {
  Use("when: pump == high");
  Feed(2, 0, {1});
  EXPECT_THAT(Show(Finish(1500)), ElementsAre("on 0-1000", "unknown 1000-1500"));
}

TEST_F(EvaluatorTest, TimeoutOfTheFrameGoesFirst) {
  definitions_ = Load(
      "frames: {f: {id: 1, every: 100 ms, timeout: 2 s, signals: {a: {where: byte "
      "0}}}}\nwarnings: {w: {text: W, severity: note, when: a > 0}}\n");
  decoder_ = Decoder::Create(definitions_, {});
  evaluator_ = WarningEvaluator::Create(definitions_);
  Feed(1, 0, {1});
  EXPECT_THAT(Show(Finish(2500)), ElementsAre("on 0-2000", "unknown 2000-2500"));
}

TEST_F(EvaluatorTest, SilenceInterruptsDebouncing) {
  Use("when: level == low, on after: 400 ms");
  Feed(1, 0, {0, 0});
  Feed(1, 100, {1, 0});  // stale at 400, 300 ms after the condition began
  Feed(1, 450, {1, 0});
  Feed(1, 700, {1, 0});
  Feed(1, 900, {1, 0});
  EXPECT_THAT(Show(Finish(1000)),
              ElementsAre("off 0-400", "unknown 400-450", "off 450-850", "on 850-1000"));
}

TEST_F(EvaluatorTest, AfterSilenceTheLastKnownStateIsTakenUpAgain) {
  Use("when: level == low, off after: 200 ms");
  Level(0, 100, 1);
  Level(1000, 1400, 0);
  EXPECT_THAT(Show(Finish(1400)),
              ElementsAre("on 0-300", "unknown 300-1000", "on 1000-1200", "off 1200-1400"));
}

TEST_F(EvaluatorTest, AbsentAndOutOfRangeAreUnknown) {
  Use("when: level == low or flow < 10");
  Feed(1, 0, {0xFF, 50});
  Feed(1, 100, {0, 201});
  Feed(1, 200, {0, 50});
  Feed(1, 300, {0xFF, 5});
  const WarningHistory history = Finish(400);
  EXPECT_THAT(Show(history), ElementsAre("unknown 0-200", "off 200-300", "on 300-400"))
      << "one side that holds is enough for \"or\"";
}

TEST_F(EvaluatorTest, WhyUnknownNamesTheSignal) {
  Use("when: level == low");
  Pump(0, 100, 0);
  EXPECT_EQ(Finish(100).why_unknown, "level was never received");
  Use("when: level == low");
  Feed(1, 0, {0xFF, 0});
  EXPECT_EQ(Finish(100).why_unknown, "level was sent without a value");
  Use("when: flow < 10");
  Feed(1, 0, {0, 255});
  EXPECT_EQ(Finish(100).why_unknown, "flow was out of its range");
  Use("when: level == low, on after: 10 s");
  Feed(1, 0, {1, 255});
  EXPECT_EQ(Finish(200).why_unknown, "its condition held for only 0.2 s");
}

TEST_F(EvaluatorTest, NothingFedIsAnEmptyHistory) {
  Use("when: level == low");
  const auto histories = evaluator_->Finish(WallTime(std::chrono::seconds(5)));
  ASSERT_EQ(histories.size(), 1U);
  EXPECT_EQ(histories[0].at_end, WarningStateKind::kUnknown);
  EXPECT_EQ(histories[0].known, Duration(0));
  EXPECT_EQ(histories[0].why_unknown, "level was never received");
}

TEST_F(EvaluatorTest, ValuesOfOneInstantAreTakenTogether) {
  Use("when: level == low and flow < 10");
  Feed(1, 0, {1, 50});
  Feed(1, 100, {0, 5});  // between the two updates both sides would hold
  EXPECT_THAT(Show(Finish(200)), ElementsAre("off 0-200"));
}

TEST_F(EvaluatorTest, CurrentShowsTheStateOfThisInstant) {
  Use("when: level == low, on after: 200 ms");
  EXPECT_EQ(evaluator_->Current(0).kind, WarningStateKind::kUnknown);
  Feed(1, 0, {0, 0});
  EXPECT_EQ(evaluator_->Current(0).kind, WarningStateKind::kOff);
  Feed(1, 100, {1, 0});
  EXPECT_EQ(evaluator_->Current(0).kind, WarningStateKind::kOff);
  evaluator_->AdvanceTo(WallTime(std::chrono::milliseconds(300)));
  EXPECT_EQ(evaluator_->Current(0).kind, WarningStateKind::kOn);
  EXPECT_EQ(ToNanoseconds(evaluator_->Current(0).from), 300'000'000);
  EXPECT_EQ(ToNanoseconds(evaluator_->Current(0).to), 300'000'000);
}

TEST_F(EvaluatorTest, TimeThatStepsBackIsIgnored) {
  Use("when: level == low");
  Feed(1, 1000, {0, 0});
  Feed(1, 400, {1, 0});
  evaluator_->AdvanceTo(WallTime(std::chrono::milliseconds(100)));
  EXPECT_THAT(Show(Finish(1100)), ElementsAre("on 1000-1100"));
}

// --- series ---

TEST_F(EvaluatorTest, FunctionsOfASeriesLeaveAbsentElementsOut) {
  Use("when: max(cell) - min(cell) > 5");
  Feed(2, 0, {0, 10, 0xFF, 14});
  Feed(2, 100, {0, 10, 20, 14});
  Feed(2, 200, {0, 0xFF, 0xFF, 0xFF});
  EXPECT_THAT(Show(Finish(300)), ElementsAre("off 0-100", "on 100-200", "unknown 200-300"));
}

TEST_F(EvaluatorTest, SeriesReceivedInPartIsUnknown) {
  Use("when: max(cell) > 5");
  Feed(2, 0, {0, 10, 11});
  EXPECT_EQ(Finish(100).why_unknown, "cell was received in part only");
}

TEST_F(EvaluatorTest, SingleElementAndPlaceOfTheHighest) {
  Use("when: 'cell[2] > 5 and argmax(cell) == 3 and count(cell) == 3 and mean(cell) == 6'");
  Feed(2, 0, {0, 1, 6, 11});
  EXPECT_EQ(Finish(100).at_end, WarningStateKind::kOn);
}

TEST_F(EvaluatorTest, ComputedSignalsAreStaleWithWhatTheyUse) {
  definitions_ = Load(std::string(kSignals) +
                      "computed: {sum_of_both: {formula: 'flow + cell[1]'}}\n"
                      "warnings: {w: {text: W, severity: note, when: sum_of_both > 50}}\n");
  decoder_ = Decoder::Create(definitions_, {});
  evaluator_ = WarningEvaluator::Create(definitions_);
  Feed(2, 0, {0, 10, 10, 10});
  Level(0, 300, 0, 60);
  Pump(300, 800, 0);
  EXPECT_THAT(Show(Finish(800)), ElementsAre("on 0-500", "unknown 500-800"));
}

// --- proven by ---

TEST_F(EvaluatorTest, ProofNeedsOneUnbrokenStretch) {
  Use("when: level == low, proven by: {condition: pump == high, for: 500 ms}");
  for (int at = 0; at < 1500; at += 100) {
    Feed(1, at, {0, 0});
    Feed(2, at, {static_cast<std::uint8_t>(at == 400 ? 0 : at < 800 ? 1 : 0)});
  }
  const WarningHistory history = Finish(1500);
  EXPECT_EQ(history.proven_longest, std::chrono::milliseconds(400));
  EXPECT_FALSE(history.proven);
}

TEST_F(EvaluatorTest, ProofIsReachedExactlyAtItsTime) {
  Use("when: level == low, proven by: {condition: pump == high, for: 500 ms}");
  for (int at = 0; at < 1000; at += 100) {
    Feed(1, at, {0, 0});
    Feed(2, at, {static_cast<std::uint8_t>(at < 500 ? 1 : 0)});
  }
  const WarningHistory history = Finish(1000);
  EXPECT_EQ(history.proven_longest, std::chrono::milliseconds(500));
  EXPECT_TRUE(history.proven);
}

TEST_F(EvaluatorTest, ProofCountsOnlyWhileTheWarningIsKnown) {
  Use("when: level == low, proven by: {condition: pump == high, for: 500 ms}");
  Level(0, 200, 0);  // stale at 400
  Pump(200, 1500, 1);
  const WarningHistory history = Finish(1500);
  EXPECT_EQ(history.proven_longest, std::chrono::milliseconds(200));
  EXPECT_FALSE(history.proven);
}

TEST_F(EvaluatorTest, ProofCountsOnlyWhileTheWarningIsOff) {
  Use("when: level == low, proven by: {condition: pump == high, for: 500 ms}");
  for (int at = 0; at < 1500; at += 100) {
    Feed(1, at, {static_cast<std::uint8_t>(at < 1100 ? 1 : 0), 0});
    Feed(2, at, {1});
  }
  const WarningHistory history = Finish(1500);
  EXPECT_THAT(Show(history), ElementsAre("on 0-1100", "off 1100-1500"));
  EXPECT_EQ(history.proven_longest, std::chrono::milliseconds(400));
  EXPECT_FALSE(history.proven);
}

TEST_F(EvaluatorTest, ProofThatLastsUntilTheEndCounts) {
  Use("when: level == low, proven by: {condition: pump == high}");
  Level(0, 200, 0);
  EXPECT_FALSE(Finish(200).proven) << "never happened";
  Use("when: level == low, proven by: {condition: pump == high}");
  Level(0, 100, 0);
  Feed(2, 100, {1});
  EXPECT_TRUE(Finish(200).proven);
}

TEST_F(EvaluatorTest, ProofCountsEveryTimeThatIsLongEnough) {
  Use("when: level == low, proven by: {condition: pump == high, for: 200 ms, times: 2}");
  // Pump runs 0-300 (counts), 400-500 (too short), 600-900 (counts).
  for (int at = 0; at < 1200; at += 100) {
    Feed(1, at, {0, 0});
    const bool runs = at < 300 || at == 400 || (at >= 600 && at < 900);
    Feed(2, at, {static_cast<std::uint8_t>(runs ? 1 : 0)});
  }
  const WarningHistory history = Finish(1200);
  EXPECT_EQ(history.proven_times, 2U);
  EXPECT_EQ(history.proven_longest, std::chrono::milliseconds(300));
  EXPECT_TRUE(history.proven);
}

TEST_F(EvaluatorTest, ProofThatHappenedTooSeldomIsNone) {
  Use("when: level == low, proven by: {condition: pump == high, times: 3}");
  for (int at = 0; at < 800; at += 100) {
    Feed(1, at, {0, 0});
    Feed(2, at, {static_cast<std::uint8_t>(at / 200 % 2)});  // runs from 200 and from 600
  }
  const WarningHistory history = Finish(800);
  EXPECT_EQ(history.proven_times, 2U);
  EXPECT_FALSE(history.proven);
}

// The pump was not seen to stop: its frames were lost for a while.
TEST_F(EvaluatorTest, ProofInterruptedBySilenceIsOneTime) {
  Use("when: level == low, proven by: {condition: pump == high, times: 2}");
  Level(0, 100, 0);
  for (int at = 0; at < 4000; at += 100) {
    Feed(1, at, {0, 0});
    if (at < 500 || at > 3000) Feed(2, at, {1});  // stale at 1400
  }
  const WarningHistory history = Finish(4000);
  EXPECT_EQ(history.proven_times, 1U);
  EXPECT_FALSE(history.proven);
}

// --- only while ---

TEST_F(EvaluatorTest, OnlyWhileMakesItUnknownElsewhere) {
  Use("when: level == low, only while: pump == high");
  for (int at = 0; at < 1000; at += 100) {
    Feed(1, at, {1, 0});
    Feed(2, at, {static_cast<std::uint8_t>(at >= 300 && at < 600 ? 1 : 0)});
  }
  const WarningHistory history = Finish(1000);
  EXPECT_THAT(Show(history), ElementsAre("unknown 0-300", "on 300-600", "unknown 600-1000"));
  EXPECT_EQ(history.why_unknown, "it is judged only while pump == high");
}

TEST_F(EvaluatorTest, OnlyWhileBreaksTheWait) {
  Use("when: level == low, on after: 400 ms, only while: pump == high");
  for (int at = 0; at < 1200; at += 100) {
    Feed(1, at, {1, 0});
    Feed(2, at, {static_cast<std::uint8_t>(at == 300 ? 0 : 1)});
  }
  EXPECT_THAT(Show(Finish(1200)), ElementsAre("unknown 0-800", "on 800-1200"));
}

TEST_F(EvaluatorTest, OnlyWhileThatIsUnknownMakesItUnknown) {
  Use("when: level == low, only while: pump == high");
  Level(0, 500, 1);
  const WarningHistory history = Finish(500);
  EXPECT_THAT(Show(history), ElementsAre("unknown 0-500"));
  EXPECT_EQ(history.why_unknown, "pump was never received");
}

TEST_F(EvaluatorTest, WithoutProvenByNothingIsProven) {
  Use("when: level == low");
  Level(0, 200, 0);
  EXPECT_FALSE(Finish(200).proven);
}

TEST(WarningStateNames, AreWords) {
  EXPECT_EQ(WarningStateName(WarningStateKind::kUnknown), "unknown");
  EXPECT_EQ(WarningStateName(WarningStateKind::kOff), "off");
  EXPECT_EQ(WarningStateName(WarningStateKind::kOn), "on");
  EXPECT_EQ(WarningSeverityName(WarningSeverity::kStop), "stop");
}

}  // namespace
}  // namespace proofdrive::decoders
