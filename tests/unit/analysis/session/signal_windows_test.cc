#include "analysis/session/signal_windows.h"

#include <gmock/gmock.h>

#include <cmath>

namespace proofdrive::analysis {
namespace {

decoders::Definitions TwoSignals() {
  decoders::Definitions definitions;
  for (const char* name : {"often", "seldom"}) {
    decoders::Signal signal;
    signal.name = name;
    signal.unit = "V";
    definitions.signals.push_back(signal);
  }
  return definitions;
}

// Two values in each of so many windows: the number of the window, and a little more.
std::vector<WindowRow> Record(std::size_t windows) {
  WindowRecorder recorder(TwoSignals());
  for (std::size_t i = 0; i < windows; ++i) {
    decoders::Value value;
    for (const double more : {0.0, 0.25}) {
      value.number = static_cast<double>(i) + more;
      const auto at = kWindow * static_cast<std::int64_t>(i) + FromSeconds(1 + 8 * more);
      recorder.Add(value, at);
      if (i % 3 != 0) continue;
      value.signal = 1;
      recorder.Add(value, at);
      value.signal = 0;
    }
  }
  return recorder.Finish();
}

TEST(WindowRecorder, ShortSessionsAreKeptWhole) {
  const auto rows = Record(kMostKeptWindows);
  ASSERT_EQ(rows[0].size(), kMostKeptWindows);
  for (std::size_t i = 0; i < rows[0].size(); ++i) {
    EXPECT_EQ(rows[0][i], static_cast<float>(i) + 0.25F);
    if (i < rows[1].size()) {
      EXPECT_EQ(std::isnan(rows[1][i]), i % 3 != 0);
    }
  }
}

TEST(WindowRecorder, LongOnesAreKeptInBoundedMemory) {
  for (const std::size_t windows : {kMostKeptWindows + 1, 5 * kMostKeptWindows + 17}) {
    const std::size_t step = windows < 2 * kMostKeptWindows ? 2 : 8;
    const auto rows = Record(windows);
    ASSERT_EQ(rows[0].size(), (windows - 1) / step + 1);
    for (std::size_t i = 0; i < rows[0].size(); ++i) {
      ASSERT_EQ(rows[0][i], static_cast<float>(i * step) + 0.25F) << i;
      if (i < rows[1].size()) {
        ASSERT_EQ(std::isnan(rows[1][i]), i * step % 3 != 0) << "the same windows of all signals";
      }
    }
  }
}

}  // namespace
}  // namespace proofdrive::analysis
