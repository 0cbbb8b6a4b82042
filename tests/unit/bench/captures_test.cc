// The sample recordings of the project are still what the bench vehicle sends and the reader reads.
// When one of these fails after a change made on purpose, run captures/make.
#include <gtest/gtest.h>

#include "core/base/posix_files.h"
#include "session/reader.h"
#include "tests/support/matchers.h"
#include "tests/support/places.h"
#include "tests/unit/bench/recording.h"

namespace proofdrive::bench {
namespace {

const std::string kFolder = testing::SourcePath("captures/");

std::vector<Frame> FramesOf(session::Reader& reader) {
  std::vector<Frame> frames;
  EXPECT_OK(reader.ForEachFrame([&frames](const Frame& frame) {
    frames.push_back(frame);
    return true;
  }));
  return frames;
}

TEST(CapturesTest, HoldTheFirstFiveSecondsOfEachScenario) {
  for (const std::string& scenario : ScenarioNames()) {
    PosixFiles files;
    auto reader = session::Reader::Open(files, kFolder + "bench/" + scenario + ".session");
    ASSERT_OK(reader) << scenario;
    EXPECT_EQ((*reader)->state(), session::State::kComplete);
    EXPECT_NE((*reader)->header().notes.find("Invented"), std::string::npos);
    const std::vector<Frame> frames = FramesOf(**reader);
    const std::vector<Frame>& sent = Recorded(scenario).frames;
    ASSERT_GT(frames.size(), 3000u) << scenario;
    ASSERT_LT(frames.size(), 3300u) << scenario;
    for (std::size_t i = 0; i < frames.size(); ++i) {
      Frame expected = sent[i];
      // The story begins when the recording does; sessions keep microseconds.
      const Duration after = (frames[i].time - frames[0].time) - (sent[i].time - sent[0].time);
      EXPECT_LE(after, std::chrono::microseconds(1));
      EXPECT_GE(after, std::chrono::microseconds(-1));
      expected.time = frames[i].time;
      ASSERT_EQ(frames[i], expected) << scenario << " frame " << i;
    }
  }
}

TEST(CapturesTest, DamagedOnesCanBeReadInPart) {
  for (const char* name : {"cut", "flipped"}) {
    PosixFiles files;
    auto reader = session::Reader::Open(files, kFolder + "damaged/" + name + ".session");
    ASSERT_OK(reader) << name;
    const std::size_t frames = FramesOf(**reader).size();
    EXPECT_GT(frames, 15'000u) << name;
    EXPECT_LT(frames, 47'000u) << name;  // 75 s would be about 47,900
    EXPECT_FALSE((*reader)->losses().empty()) << name;
  }
}

}  // namespace
}  // namespace proofdrive::bench
