#include "daemon/recorder.h"

#include <gmock/gmock.h>

#include <random>

#include "session/reader.h"
#include "session/recovery.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/unit/daemon/recording_log.h"

namespace proofdrive::daemon {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;
using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using testing::IsError;
using testing::IsOk;
using testing::MemoryFiles;

const WallTime kStart = WallFromNanoseconds(1'772'366'400'000'000'000);  // 2026-03-01 12:00 UTC

class RecorderTest : public ::testing::Test {
 protected:
  RecorderTest() {
    setup_.directory = "out";
    setup_.reserve = 1 << 16;
    session::Channel channel;
    channel.name = "can0";
    setup_.header.channels = {channel};
    setup_.header.software = "proofdrived test";
  }

  static RecordRequest Named(const std::string& name,
                             std::optional<Duration> length = std::nullopt) {
    RecordRequest request;
    request.name = name;
    request.length = length;
    return request;
  }

  Recorder Make() { return Recorder(files_, clock_, log_, counters_, setup_); }

  // One frame every 10 ms from `from` on.
  static std::vector<Frame> Frames(std::size_t count, WallTime from = kStart) {
    std::vector<Frame> frames(count);
    for (std::size_t i = 0; i < count; ++i) {
      frames[i].time = from + milliseconds(10) * static_cast<int>(i);
      frames[i].id = 0x100;
      frames[i].length = 8;
      frames[i].data[0] = static_cast<std::uint8_t>(i);
    }
    return frames;
  }

  std::unique_ptr<session::Reader> Open(const std::string& path) {
    auto reader = session::Reader::Open(files_, path);
    EXPECT_OK(reader);
    return std::move(*reader);
  }

  MemoryFiles files_;
  ManualClock clock_{kStart, SteadyTime(seconds(100))};
  RecordingLog log_;
  Counters counters_;
  RecorderSetup setup_;
};

TEST_F(RecorderTest, WritesACompleteSessionWithItsHeader) {
  Recorder recorder = Make();
  RecordRequest request;
  request.name = "repair-1";
  request.stage = session::Stage::kAfterRepair;
  request.notes = "new pump";
  const auto path = recorder.Start(request);
  ASSERT_OK(path);
  EXPECT_EQ(*path, "out/repair-1.session");
  recorder.Append(Frames(100));
  const auto ended = recorder.Stop();
  ASSERT_OK(ended);
  EXPECT_TRUE(ended->complete);
  EXPECT_EQ(ended->written.frames, 100u);
  EXPECT_EQ(ended->length, Duration(milliseconds(990)));
  EXPECT_EQ(ended->problem, "");
  EXPECT_FALSE(recorder.recording());

  const auto reader = Open(*path);
  EXPECT_EQ(reader->state(), session::State::kComplete);
  EXPECT_EQ(reader->frame_count(), 100u);
  EXPECT_EQ(reader->header().name, "repair-1");
  EXPECT_EQ(reader->header().stage, session::Stage::kAfterRepair);
  EXPECT_EQ(reader->header().notes, "new pump");
  EXPECT_EQ(reader->header().started.wall, kStart);
  EXPECT_EQ(reader->header().started.steady, SteadyTime(seconds(100)));
  EXPECT_THAT(log_.lines(), ::testing::ElementsAre("Recording to out/repair-1.session"));
}

TEST_F(RecorderTest, RefusesATakenNameAndProposesAnother) {
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  EXPECT_THAT(
      recorder.Start(Named("y")),
      IsError(ErrorKind::kBusy, "already recording x: stop it first with: proofdrive record stop"));
  ASSERT_OK(recorder.Stop());
  EXPECT_THAT(recorder.Start(Named("x")),
              IsError(ErrorKind::kAlreadyExists,
                      "out/x.session is there already and nothing is overwritten: choose another "
                      "name, for example x-2"));
  EXPECT_FALSE(recorder.recording());
}

TEST_F(RecorderTest, MakesNamesFromTheDateWhenNoneIsGiven) {
  Recorder recorder = Make();
  EXPECT_EQ(recorder.Start({}).value(), "out/20260301-120000.session");
  ASSERT_OK(recorder.Stop());
  EXPECT_EQ(recorder.Start({}).value(), "out/20260301-120000-2.session");
}

TEST_F(RecorderTest, StopWithoutARecordingSaysWhatToDo) {
  Recorder recorder = Make();
  EXPECT_THAT(recorder.Stop(),
              IsError(ErrorKind::kUnavailable,
                      "nothing is being recorded: start with: proofdrive record start NAME"));
}

TEST_F(RecorderTest, SyncsOncePerSecondSoThatAPowerCutLosesNoMore) {
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  recorder.Append(Frames(50));
  clock_.Advance(milliseconds(999));
  recorder.Tick();  // not yet
  recorder.Append(Frames(50, kStart + milliseconds(500)));
  clock_.Advance(milliseconds(1));
  recorder.Tick();  // all 100
  recorder.Append(Frames(7, kStart + seconds(1)));
  files_.LosePower(testing::Unsynced::kLost);
  const auto reader = Open("out/x.session");
  EXPECT_EQ(reader->state(), session::State::kInterrupted);
  EXPECT_EQ(reader->frame_count(), 100u);
}

TEST_F(RecorderTest, MarkIsDurableAtOnce) {
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  session::Event mark;
  mark.kind = session::EventKind::kMark;
  mark.time = kStart;
  mark.text = "pump on";
  recorder.AddEvent(mark);
  files_.LosePower(testing::Unsynced::kLost);
  EXPECT_THAT(Open("out/x.session")->events(), ::testing::ElementsAre(mark));
}

TEST_F(RecorderTest, ClockStepBecomesAnEvent) {
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  clock_.Advance(milliseconds(200));
  recorder.Tick();
  clock_.StepWall(-seconds(90));
  clock_.Advance(milliseconds(200));
  recorder.Tick();
  ASSERT_OK(recorder.Stop());
  const auto reader = Open("out/x.session");
  ASSERT_EQ(reader->events().size(), 1u);
  EXPECT_EQ(reader->events()[0].kind, session::EventKind::kClockStep);
  EXPECT_EQ(reader->events()[0].step, Duration(-seconds(90)));
  EXPECT_EQ(counters_.Get(Counter::kClockSteps), 1u);
  EXPECT_THAT(log_.lines(), Contains("The clock of this machine was set by -1 min 30 s; the step "
                                     "is noted in the recording"));
}

TEST_F(RecorderTest, DropsAreCountedAndStored) {
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  session::Event drops;
  drops.kind = session::EventKind::kDrops;
  drops.count = 12;
  recorder.AddEvent(drops);
  recorder.AddEvent(drops);
  EXPECT_EQ(recorder.info().drops, 24u);
  EXPECT_EQ(recorder.Stop()->drops, 24u);
}

TEST_F(RecorderTest, LiveRecordingEndsByThisMachinesTime) {
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x", seconds(3))));
  for (int i = 0; i < 29; ++i) {
    clock_.Advance(milliseconds(100));
    recorder.Tick();
    EXPECT_FALSE(recorder.TakeEnded()) << i;
  }
  clock_.Advance(milliseconds(100));
  recorder.Tick();
  const auto ended = recorder.TakeEnded();
  ASSERT_TRUE(ended);
  EXPECT_TRUE(ended->complete);
  EXPECT_EQ(ended->problem, "");
  EXPECT_FALSE(recorder.TakeEnded()) << "told once";
}

TEST_F(RecorderTest, SimulatedRecordingEndsByTheFramesTimes) {
  setup_.live = false;
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x", seconds(2))));
  clock_.Advance(seconds(60));
  recorder.Tick();
  ASSERT_TRUE(recorder.recording()) << "only the frames' time counts";
  recorder.Append(Frames(150));
  ASSERT_TRUE(recorder.recording());
  recorder.Append(Frames(150, kStart + milliseconds(1500)));
  const auto ended = recorder.TakeEnded();
  ASSERT_TRUE(ended);
  EXPECT_EQ(ended->written.frames, 200u) << "frames of the first 2 s, 100 a second";
  recorder.Append(Frames(5));  // goes nowhere
  EXPECT_EQ(Open("out/x.session")->frame_count(), 200u);
}

TEST_F(RecorderTest, RefusesToStartOnAnAlmostFullDisk) {
  files_.SetCapacity(1000);
  Recorder recorder = Make();
  EXPECT_THAT(recorder.Start(Named("x")),
              IsError(ErrorKind::kNoSpace,
                      "the disk of out is almost full (1,000 bytes left, 65,536 are kept free): "
                      "remove what you do not need there"));
  EXPECT_FALSE(files_.Exists("out/x.session"));
}

TEST_F(RecorderTest, StopsCleanlyBeforeTheDiskIsFull) {
  files_.SetCapacity(3'000'000);
  setup_.reserve = 1'500'000;
  std::mt19937 random(1);  // payloads that do not compress
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  std::uint64_t offered = 0;
  while (recorder.recording() && offered < 1'000'000) {
    auto frames = Frames(500, kStart + milliseconds(10) * static_cast<int>(offered));
    for (Frame& frame : frames) {
      for (int i = 0; i < 8; ++i) frame.data[static_cast<std::size_t>(i)] = random() & 0xFF;
    }
    recorder.Append(frames);
    if (recorder.recording()) offered += 500;
    recorder.Tick();
  }
  const auto ended = recorder.TakeEnded();
  ASSERT_TRUE(ended);
  EXPECT_TRUE(ended->complete) << ended->problem;
  EXPECT_THAT(ended->problem, HasSubstr("the disk of out is almost full"));
  EXPECT_EQ(ended->written.frames, offered);
  EXPECT_GT(files_.FreeBytes("out").value(), 0u);
  const auto reader = Open("out/x.session");
  EXPECT_EQ(reader->state(), session::State::kComplete);
  EXPECT_EQ(reader->frame_count(), offered);
}

// Whatever step of the file system fails: no crash, and every frame that was synced is still there.
TEST_F(RecorderTest, EveryFailureLeavesASessionThatOpens) {
  for (int nth = 1; nth < 60; ++nth) {
    MemoryFiles files;
    Recorder recorder(files, clock_, log_, counters_, setup_);
    if (!recorder.Start(Named("x")).ok()) continue;
    files.FailAfter(nth, ErrorKind::kIo);
    std::uint64_t synced = 0;
    for (int i = 0; i < 10 && recorder.recording(); ++i) {
      recorder.Append(Frames(20, kStart + seconds(i)));
      clock_.Advance(seconds(1));
      recorder.Tick();
      if (recorder.recording()) synced += 20;
    }
    if (recorder.recording()) (void)recorder.Stop();
    const auto ended = recorder.TakeEnded();
    ASSERT_TRUE(ended) << nth;
    files.StopFailing();
    files.LosePower(testing::Unsynced::kLost);
    auto reader = session::Reader::Open(files, "out/x.session");
    ASSERT_OK(reader) << nth;
    EXPECT_GE((*reader)->frame_count(), synced) << nth;
    if (!ended->complete) {
      EXPECT_THAT(ended->problem, HasSubstr("proofdrive recover out/x.session")) << nth;
    }
  }
}

}  // namespace
}  // namespace proofdrive::daemon
