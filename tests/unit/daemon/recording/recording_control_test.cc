#include "daemon/recording/recording_control.h"

#include <gmock/gmock.h>

#include "session/reader.h"
#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::daemon {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;
using testing::IsOk;

const WallTime kStart = WallFromNanoseconds(1'772'366'400'000'000'000);  // 2026-03-01 12:00 UTC

class RecordingControlTest : public ::testing::Test {
 protected:
  RecordingControlTest() {
    setup_.directory = "out";
    setup_.reserve = 1;
    setup_.live = false;
    policy_.end_after = seconds(5);
    policy_.keep_before = seconds(1);
  }

  RecordingControl Make() {
    return RecordingControl(files_, clock_, log_, counters_, setup_, policy_);
  }

  // One every 10 ms.
  static std::vector<Frame> Frames(Duration from, std::size_t count, std::uint8_t flags = 0) {
    std::vector<Frame> frames(count);
    for (std::size_t i = 0; i < count; ++i) {
      frames[i].time = kStart + from + milliseconds(10) * static_cast<int>(i);
      frames[i].flags = flags;
      frames[i].length = 8;
    }
    return frames;
  }

  // As the pipeline does; `warning_on`: whether a frame at this time finds a warning on.
  static void Feed(RecordingControl& control, std::span<const Frame> frames,
                   const std::function<bool(Duration)>& warning_on = {}) {
    while (!frames.empty()) {
      const auto slice = frames.first(control.NextSlice(frames));
      const bool on = warning_on && warning_on(slice.back().time - kStart);
      control.Append(slice, on ? 1 : 0);
      frames = frames.subspan(slice.size());
    }
  }

  std::unique_ptr<session::Reader> Open(const std::string& path) {
    auto reader = session::Reader::Open(files_, path);
    EXPECT_OK(reader);
    return std::move(*reader);
  }

  testing::MemoryFiles files_;
  ManualClock clock_{kStart, SteadyTime(seconds(100))};
  testing::KeepingLog log_;
  Counters counters_;
  RecorderSetup setup_;
  RecordingPolicy policy_;
};

TEST_F(RecordingControlTest, SaysWhyNothingIsRecordedAlthoughItShouldBe) {
  policy_.when = RecordWhen::kStart;
  setup_.live = true;
  setup_.reserve = 10'000;
  files_.SetCapacity(5'000);
  RecordingControl control = Make();
  control.Tick(0);
  EXPECT_FALSE(control.recording());
  EXPECT_THAT(control.not_begun(), ::testing::HasSubstr("the disk of out is almost full"));
  files_.SetCapacity(1'000'000);
  clock_.Advance(RecordingCause::kRetry);
  control.Tick(0);
  EXPECT_TRUE(control.recording());
  EXPECT_EQ(control.not_begun(), "");
}

TEST_F(RecordingControlTest, TrafficMakesOneSessionPerDrive) {
  policy_.when = RecordWhen::kTraffic;
  policy_.wish.stage = session::Stage::kDrive;
  RecordingControl control = Make();
  control.Tick(0);
  EXPECT_FALSE(control.recording());
  std::vector<Frame> all = Frames(seconds(0), 200, kErrorMessage);  // no traffic
  for (const auto& more :
       {Frames(seconds(2), 500), Frames(seconds(11), 300), Frames(seconds(60), 100)}) {
    all.insert(all.end(), more.begin(), more.end());
  }
  Feed(control, all);
  ASSERT_TRUE(control.recording());
  ASSERT_OK(control.Stop());
  const auto first = control.TakeEnded();
  const auto second = control.TakeEnded();
  ASSERT_TRUE(first && second);
  EXPECT_FALSE(control.TakeEnded());
  // 1 s of error messages before, 5 s, a gap of 4 s that is no end, 3 s.
  EXPECT_EQ(first->written.frames, 100u + 500 + 300);
  EXPECT_EQ(first->stage, session::Stage::kDrive);
  EXPECT_EQ(first->path, "out/20260301-120000.session");
  EXPECT_EQ(second->written.frames, 100u);
  EXPECT_EQ(second->path, "out/20260301-120000-2.session");
  EXPECT_EQ(Open(first->path)->frame_count(), 900u);
}

TEST_F(RecordingControlTest, LiveSilenceIsCountedByThisMachinesClock) {
  setup_.live = true;
  policy_.when = RecordWhen::kTraffic;
  RecordingControl control = Make();
  Feed(control, Frames(seconds(0), 10));
  ASSERT_TRUE(control.recording());
  for (int i = 0; i < 49; ++i) {
    clock_.Advance(milliseconds(100));
    control.Tick(0);
    EXPECT_FALSE(control.TakeEnded()) << i;
  }
  clock_.Advance(milliseconds(100));
  control.Tick(0);
  EXPECT_TRUE(control.TakeEnded());
  EXPECT_FALSE(control.recording());
}

TEST_F(RecordingControlTest, WarningWithWhatCameBefore) {
  policy_.when = RecordWhen::kWarning;
  RecordingControl control = Make();
  const auto on = [](Duration at) { return at >= seconds(10) && at < seconds(12); };
  Feed(control, Frames(seconds(0), 3000), on);
  const auto ended = control.TakeEnded();
  ASSERT_TRUE(ended);
  EXPECT_FALSE(control.recording());
  const auto reader = Open(ended->path);
  // From one slice before 10 s minus 1 s, to one slice after 12 s plus 5 s.
  EXPECT_GE(reader->first_time(), kStart + milliseconds(8800));
  EXPECT_LE(reader->first_time(), kStart + seconds(9));
  EXPECT_GE(reader->last_time(), kStart + milliseconds(16800));
  EXPECT_LE(reader->last_time(), kStart + milliseconds(17200));
}

TEST_F(RecordingControlTest, EventsBeforeAreKeptToo) {
  policy_.when = RecordWhen::kTraffic;
  RecordingControl control = Make();
  session::Event up;
  up.kind = session::EventKind::kChannelState;
  up.time = kStart - milliseconds(10);
  up.text = "up";
  ASSERT_OK(control.AddEvent(up));
  Feed(control, Frames(seconds(0), 10));
  ASSERT_OK(control.Stop());
  const auto ended = control.TakeEnded();
  EXPECT_THAT(Open(ended->path)->events(), ::testing::ElementsAre(up));
}

TEST_F(RecordingControlTest, StartRecordsAtOnceAndAStopLasts) {
  policy_.when = RecordWhen::kStart;
  RecordingControl control = Make();
  control.Tick(0);
  ASSERT_TRUE(control.recording());
  Feed(control, Frames(seconds(0), 100));
  ASSERT_OK(control.Stop());
  ASSERT_TRUE(control.TakeEnded());
  Feed(control, Frames(seconds(10), 100));
  control.Tick(0);
  EXPECT_FALSE(control.recording());
  ASSERT_OK(control.Start({}));
  EXPECT_TRUE(control.recording());
}

TEST_F(RecordingControlTest, AskedRecordingsMayBeginEarlierToo) {
  policy_.keep_before = seconds(3);
  RecordingControl control = Make();
  Feed(control, Frames(seconds(0), 1000));
  ASSERT_OK(control.Start({}));
  Feed(control, Frames(seconds(10), 100));
  const auto ended = control.Stop();
  ASSERT_OK(ended);
  EXPECT_EQ(ended->written.frames, 301u + 100);
}

TEST_F(RecordingControlTest, AFullDiskAtTheBeginningIsTriedAgain) {
  policy_.when = RecordWhen::kStart;
  setup_.live = true;
  setup_.reserve = 1000;
  files_.SetCapacity(500);
  RecordingControl control = Make();
  for (int i = 0; i < 50; ++i) {
    clock_.Advance(milliseconds(100));
    control.Tick(0);
  }
  EXPECT_FALSE(control.recording());
  EXPECT_EQ(log_.lines().size(), 1u) << "said once in ten seconds";
  files_.SetCapacity(1'000'000);
  clock_.Advance(seconds(10));
  control.Tick(0);
  EXPECT_TRUE(control.recording());
}

}  // namespace
}  // namespace proofdrive::daemon
