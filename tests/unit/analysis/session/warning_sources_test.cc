#include "analysis/session/warning_sources.h"

#include <gmock/gmock.h>

namespace proofdrive::analysis {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

decoders::Definitions TwoFrames() {
  decoders::Definitions definitions;
  definitions.frames.resize(2);
  definitions.frames[0].name = "pack";
  definitions.frames[1].name = "loop";
  for (const auto& [name, frame] : {std::pair("level", "loop"), std::pair("level_raw", "loop"),
                                    std::pair("voltage", "pack"), std::pair("polled", "")}) {
    decoders::Signal signal;
    signal.name = name;
    signal.frame = frame;
    definitions.signals.push_back(signal);
  }
  return definitions;
}

TEST(SignalsIn, FindsWholeNamesOnceInOrderOfDefinition) {
  EXPECT_THAT(SignalsIn(TwoFrames(), "max(voltage) > 400 and level == low and voltage<9"),
              ElementsAre(0, 2));
}

TEST(SignalsIn, DoesNotTakeAPartOfALongerName) {
  EXPECT_THAT(SignalsIn(TwoFrames(), "level_raw > 3"), ElementsAre(1));
  EXPECT_THAT(SignalsIn(TwoFrames(), "my_voltage > 3"), IsEmpty());
}

TEST(FramesOf, NamesEachFrameOnce) {
  decoders::Warning warning;
  warning.when.text = "voltage > 400 or level == low or level_raw == 2";
  EXPECT_THAT(FramesOf(TwoFrames(), warning), ElementsAre(0, 1));
  warning.when.text = "polled > 1";
  EXPECT_THAT(FramesOf(TwoFrames(), warning), IsEmpty());
}

TEST(FramesOf, FollowsComputedSignals) {
  decoders::Definitions definitions = TwoFrames();
  decoders::Signal ratio;
  ratio.name = "ratio";
  definitions.signals.push_back(ratio);
  definitions.computed.push_back({4, {"level / max(voltage, ratio)", {}}});
  decoders::Warning warning;
  warning.when.text = "ratio > 3";
  EXPECT_THAT(FramesOf(definitions, warning), ElementsAre(0, 1));
}

}  // namespace
}  // namespace proofdrive::analysis
