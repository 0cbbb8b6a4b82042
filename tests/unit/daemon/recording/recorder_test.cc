#include "daemon/recording/recorder.h"

#include <gmock/gmock.h>

#include <random>

#include "session/model/parts.h"
#include "session/reader.h"
#include "session/recovery.h"
#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

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

  static RecordingWish Named(const std::string& name,
                             std::optional<Duration> length = std::nullopt) {
    RecordingWish request;
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
  testing::KeepingLog log_;
  Counters counters_;
  RecorderSetup setup_;
};

TEST_F(RecorderTest, WritesACompleteSessionWithItsHeader) {
  Recorder recorder = Make();
  RecordingWish request;
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
  ASSERT_OK(recorder.AddEvent(mark));
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
  EXPECT_THAT(log_.lines(), Contains("The clock of this machine was set by -90 s; the step "
                                     "is noted in the recording"));
}

TEST_F(RecorderTest, DropsAreCountedAndStored) {
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  session::Event drops;
  drops.kind = session::EventKind::kDrops;
  drops.count = 12;
  ASSERT_OK(recorder.AddEvent(drops));
  ASSERT_OK(recorder.AddEvent(drops));
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

// Payloads that do not compress, 1 ms apart.
std::vector<Frame> Noise(std::size_t count, std::mt19937& random, int from) {
  std::vector<Frame> frames(count);
  for (std::size_t i = 0; i < count; ++i) {
    frames[i].time = kStart + milliseconds(from + static_cast<int>(i));
    frames[i].channel = static_cast<std::uint8_t>(i % 2);
    frames[i].id = 0x100;
    frames[i].length = 8;
    for (std::size_t byte = 0; byte < 8; ++byte) {
      frames[i].data[byte] = static_cast<std::uint8_t>(random());
    }
  }
  return frames;
}

TEST_F(RecorderTest, PausesBeforeTheDiskIsFullAndGoesOnWhenThereIsRoom) {
  files_.SetCapacity(3'000'000);
  setup_.reserve = 1'500'000;
  std::mt19937 random(1);
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  int offered = 0;
  const auto offer = [&] {
    recorder.Append(Noise(500, random, offered));
    offered += 500;
    clock_.Advance(milliseconds(500));
    recorder.Tick();
  };
  while (recorder.info().paused.empty() && offered < 1'000'000) offer();
  ASSERT_LT(offered, 1'000'000) << "the disk was never full";
  EXPECT_THAT(recorder.info().paused, HasSubstr("the disk of out is almost full"));
  EXPECT_GT(files_.FreeBytes("out").value(), 0u);
  const int stored = offered;
  for (int i = 0; i < 20; ++i) offer();
  EXPECT_TRUE(recorder.recording());
  EXPECT_EQ(recorder.info().drops, 10'000u);
  EXPECT_EQ(counters_.Get(Counter::kFullDiskDrops), 10'000u);
  session::Event mark;
  mark.kind = session::EventKind::kMark;
  mark.time = clock_.Now().wall;
  mark.text = "made room";
  EXPECT_OK(recorder.AddEvent(mark)) << "a mark still fits";
  {
    const auto running = Open("out/x.session");
    EXPECT_EQ(running->state(), session::State::kRecording);
    EXPECT_EQ(running->frame_count(), static_cast<std::uint64_t>(stored));
  }
  files_.SetCapacity(30'000'000);
  while (!recorder.info().paused.empty() && offered < 1'000'000) offer();
  const std::uint64_t lost = recorder.info().drops;
  offer();
  ASSERT_OK(recorder.Stop());
  const auto ended = recorder.TakeEnded();
  ASSERT_TRUE(ended);
  EXPECT_TRUE(ended->complete);
  EXPECT_EQ(ended->problem, "");
  const auto reader = Open("out/x.session");
  EXPECT_EQ(reader->state(), session::State::kComplete);
  EXPECT_EQ(reader->frame_count() + lost, static_cast<std::uint64_t>(offered));
  std::uint64_t told = 0;
  for (const session::Event& event : reader->events()) {
    if (event.kind != session::EventKind::kDrops) continue;
    told += event.count;
    EXPECT_EQ(event.text, "the disk was almost full");
    EXPECT_TRUE(event.channel);
  }
  EXPECT_EQ(told, lost) << "the gap is in the session";
  EXPECT_THAT(log_.lines(), Contains(HasSubstr("Recording is paused, frames are lost: the disk")));
  EXPECT_THAT(log_.lines(), Contains(HasSubstr("There is room again and recording goes on: ")));
}

TEST_F(RecorderTest, StoppedDuringAPauseTheSessionIsCompleteAndSaysWhatIsMissing) {
  files_.SetCapacity(3'000'000);
  setup_.reserve = 1'500'000;
  std::mt19937 random(1);
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  int offered = 0;
  for (int paused = 0; paused < 10; offered += 500) {
    recorder.Append(Noise(500, random, offered));
    recorder.Tick();
    if (!recorder.info().paused.empty()) ++paused;
    ASSERT_LT(offered, 1'000'000);
  }
  const auto ended = recorder.Stop();
  ASSERT_OK(ended);
  EXPECT_TRUE(ended->complete) << ended->problem;
  EXPECT_THAT(ended->problem, HasSubstr("the disk of out is almost full"));
  EXPECT_EQ(ended->written.frames + ended->drops, static_cast<std::uint64_t>(offered));
  EXPECT_GT(files_.FreeBytes("out").value(), 0u);
  EXPECT_EQ(Open("out/x.session")->state(), session::State::kComplete);
}

// Somebody else took the room that was kept free: writes fail in the middle.
TEST_F(RecorderTest, ADiskThatIsReallyFullLosesOnlyWhatIsCounted) {
  for (const std::uint64_t room : {0u, 100u, 5'000u, 60'000u}) {
    MemoryFiles files;
    setup_.reserve = 1;
    std::mt19937 random(1);
    Recorder recorder(files, clock_, log_, counters_, setup_);
    ASSERT_OK(recorder.Start(Named("x")));
    int offered = 0;
    const auto offer = [&] {
      recorder.Append(Noise(500, random, offered));
      offered += 500;
      clock_.Advance(seconds(1));
      recorder.Tick();
    };
    for (int i = 0; i < 5; ++i) offer();
    files.SetCapacity(files.Contents("out/x.session").size() +
                      files.Contents("out/x.journal").size() + room);
    for (int i = 0; i < 30; ++i) offer();
    ASSERT_TRUE(recorder.recording());
    ASSERT_NE(recorder.info().paused, "") << room;
    files.SetCapacity(100'000'000);
    for (int i = 0; i < 10; ++i) offer();
    EXPECT_EQ(recorder.info().paused, "") << room;
    const auto ended = recorder.Stop();
    ASSERT_OK(ended);
    EXPECT_TRUE(ended->complete) << ended->problem;
    auto reader = session::Reader::Open(files, "out/x.session");
    ASSERT_OK(reader);
    EXPECT_EQ((*reader)->frame_count() + ended->drops, static_cast<std::uint64_t>(offered)) << room;
    EXPECT_EQ((*reader)->state(), session::State::kComplete);
  }
}

TEST_F(RecorderTest, LongRecordingsAreSplitByTime) {
  setup_.parts.time = seconds(2);
  setup_.live = false;
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  recorder.Append(Frames(450));  // 4.5 s
  const auto ended = recorder.Stop();
  ASSERT_OK(ended);
  EXPECT_EQ(ended->parts, 3u);
  EXPECT_EQ(ended->path, "out/x.session");
  EXPECT_EQ(ended->written.frames, 450u);
  EXPECT_EQ(ended->durable, 450u);
  std::string id;
  const std::uint64_t expected[] = {200, 200, 50};
  for (std::uint32_t number = 1; number <= 3; ++number) {
    const auto reader = Open(session::PartPath("out/x.session", number));
    EXPECT_EQ(reader->state(), session::State::kComplete);
    EXPECT_EQ(reader->frame_count(), expected[number - 1]);
    EXPECT_EQ(reader->header().part, number);
    EXPECT_EQ(reader->header().name, "x");
    EXPECT_EQ(reader->header().continued, number < 3);
    if (number == 1) id = reader->header().id;
    EXPECT_EQ(reader->header().recording, id);
  }
  EXPECT_THAT(recorder.Start(Named("x")), IsError(ErrorKind::kAlreadyExists, HasSubstr("x-2")));
}

TEST_F(RecorderTest, LiveRecordingsAreSplitByThisMachinesTime) {
  setup_.parts.time = seconds(2);
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  for (int i = 0; i < 45; ++i) {
    recorder.Append(Frames(10, kStart + milliseconds(100) * i));
    clock_.Advance(milliseconds(100));
    recorder.Tick();
  }
  const auto ended = recorder.Stop();
  ASSERT_OK(ended);
  EXPECT_EQ(ended->parts, 3u);
  EXPECT_EQ(ended->written.frames, 450u);
}

TEST_F(RecorderTest, LongRecordingsAreSplitBySize) {
  setup_.parts.bytes = 200'000;
  std::mt19937 random(1);
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  for (int i = 0; i < 600; ++i) {
    recorder.Append(Noise(500, random, i * 500));
    clock_.Advance(milliseconds(500));
    recorder.Tick();
  }
  const auto ended = recorder.Stop();
  ASSERT_OK(ended);
  EXPECT_GT(ended->parts, 2u);
  EXPECT_EQ(ended->written.frames, 300'000u);
  std::uint64_t frames = 0;
  for (std::uint32_t number = 1; number <= ended->parts; ++number) {
    const auto reader = Open(session::PartPath("out/x.session", number));
    frames += reader->frame_count();
    EXPECT_LT(reader->file_bytes(), 200'000u + 65536 * 12) << "one chunk more at most";
  }
  EXPECT_EQ(frames, 300'000u);
}

// The next part cannot be begun: the present one goes on, and nothing is lost.
TEST_F(RecorderTest, EveryFailureWhileAPartBeginsLosesNothing) {
  for (int nth = 1; nth < 30; ++nth) {
    MemoryFiles files;
    setup_.parts.time = seconds(2);
    setup_.live = false;
    Recorder recorder(files, clock_, log_, counters_, setup_);
    ASSERT_OK(recorder.Start(Named("x")));
    recorder.Append(Frames(190));
    files.FailAfter(nth, ErrorKind::kIo, false);
    recorder.Append(Frames(60, kStart + milliseconds(1900)));
    files.StopFailing();
    if (!recorder.recording()) continue;  // the failure hit a frame: told and ended
    recorder.Append(Frames(50, kStart + milliseconds(2500)));
    const auto ended = recorder.Stop();
    ASSERT_OK(ended);
    EXPECT_EQ(ended->written.frames, 300u) << nth;
    std::uint64_t frames = 0;
    for (std::uint32_t number = 1; number <= ended->parts; ++number) {
      auto reader = session::Reader::Open(files, session::PartPath("out/x.session", number));
      ASSERT_OK(reader);
      frames += (*reader)->frame_count();
    }
    EXPECT_EQ(frames, 300u) << nth;
  }
}

// A kill writes nothing of what is asked for afterwards.
TEST_F(RecorderTest, AKillWhileAPartBeginsIsNoDamage) {
  for (int nth = 1; nth < 40; ++nth) {
    MemoryFiles files;
    files.SetTornAppends(false);
    setup_.parts.time = seconds(2);
    setup_.live = false;
    {
      Recorder recorder(files, clock_, log_, counters_, setup_);
      ASSERT_OK(recorder.Start(Named("x")));
      recorder.Append(Frames(190));
      files.FailAfter(nth, ErrorKind::kIo);
      recorder.Append(Frames(60, kStart + milliseconds(1900)));
    }
    files.StopFailing();
    files.LosePower(testing::Unsynced::kWritten);
    const auto report = session::Verify(files, "out/x.session");
    ASSERT_OK(report);
    EXPECT_NE(report->state, session::State::kDamaged)
        << nth << ": " << (report->losses.empty() ? "" : report->losses[0].what);
    EXPECT_GE(report->frames, 190u) << nth;
  }
}

TEST_F(RecorderTest, AKillAtTheStartLeavesASessionThatOpensOrAFreeName) {
  for (int nth = 1; nth < 20; ++nth) {
    MemoryFiles files;
    files.SetTornAppends(false);
    files.FailAfter(nth, ErrorKind::kIo);
    const bool begun = Recorder(files, clock_, log_, counters_, setup_).Start(Named("x")).ok();
    files.StopFailing();
    files.LosePower(testing::Unsynced::kWritten);
    const auto reader = session::Reader::Open(files, "out/x.session");
    if (reader.ok()) {
      EXPECT_EQ((*reader)->state(), session::State::kInterrupted) << nth;
    } else {
      EXPECT_FALSE(begun) << nth;
      EXPECT_OK(Recorder(files, clock_, log_, counters_, setup_).Start(Named("x"))) << nth;
    }
  }
}

TEST_F(RecorderTest, AFileThatIsLostMeanwhileIsSaidAtOnceAndTheRecordingGoesOn) {
  const struct {
    const char* what;
    std::function<void(MemoryFiles&)> attack;
  } kCases[] = {
      {"out/x.session was removed or moved away",
       [](MemoryFiles& files) { ASSERT_OK(files.Remove("out/x.session")); }},
      {"out/x.session was removed or moved away",
       [](MemoryFiles& files) { ASSERT_OK(files.Rename("out/x.session", "out/mine.session")); }},
      {"out/x.session was replaced by another file",
       [](MemoryFiles& files) {
         files.Put("out/x.session", {1, 2, 3});
       }},
      {"out/x.session was changed by another program",
       [](MemoryFiles& files) { files.Contents("out/x.session").resize(10); }},
      {"out/x.journal was removed or moved away",
       [](MemoryFiles& files) { ASSERT_OK(files.Remove("out/x.journal")); }},
  };
  for (const auto& test : kCases) {
    MemoryFiles files;
    testing::KeepingLog log;
    Recorder recorder(files, clock_, log, counters_, setup_);
    ASSERT_OK(recorder.Start(Named("x")));
    recorder.Append(Frames(100));
    clock_.Advance(seconds(1));
    recorder.Tick();
    EXPECT_EQ(recorder.info().durable, 100u);
    test.attack(files);
    const bool there = files.Exists("out/x.session");
    const auto left = there ? files.Contents("out/x.session") : std::vector<std::uint8_t>();
    recorder.Append(Frames(50, kStart + seconds(1)));
    clock_.Advance(seconds(1));
    recorder.Tick();
    EXPECT_THAT(recorder.info().trouble, HasSubstr(test.what));
    EXPECT_EQ(recorder.info().path, "out/x-2.session");
    EXPECT_EQ(recorder.info().durable, 0u) << "what is lost does not count";
    EXPECT_THAT(log.lines().back(), HasSubstr("Recording went on in out/x-2.session"));
    recorder.Append(Frames(70, kStart + seconds(2)));
    const auto ended = recorder.Stop();
    ASSERT_OK(ended);
    EXPECT_FALSE(ended->complete) << "a part of the recording is gone";
    EXPECT_EQ(ended->problem, "");
    EXPECT_THAT(ended->trouble, HasSubstr(test.what));
    EXPECT_EQ(ended->written.frames, 70u);
    const auto reader = session::Reader::Open(files, "out/x-2.session");
    ASSERT_OK(reader);
    EXPECT_EQ((*reader)->state(), session::State::kComplete);
    EXPECT_EQ((*reader)->frame_count(), 70u);
    ASSERT_EQ((*reader)->events().size(), 1u);
    EXPECT_THAT((*reader)->events()[0].text, HasSubstr(test.what));
    EXPECT_EQ(files.Exists("out/x.session"), there);
    if (there) {
      EXPECT_EQ(files.Contents("out/x.session"), left) << "nobody else's file is touched";
    }
  }
}

TEST_F(RecorderTest, AFileThatIsLostAtTheEndDoesNotCountAsComplete) {
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  recorder.Append(Frames(100));
  ASSERT_OK(files_.Remove("out/x.session"));
  const auto ended = recorder.Stop();
  ASSERT_OK(ended);
  EXPECT_FALSE(ended->complete);
  EXPECT_THAT(ended->problem,
              HasSubstr("out/x.session was removed or moved away. What was recorded in it is only "
                        "where that file is now"));
  EXPECT_EQ(ended->durable, 0u);
}

TEST_F(RecorderTest, WhenAFileMayNotGrowTheRecordingGoesOnInANewOne) {
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  recorder.Append(Frames(100));
  clock_.Advance(seconds(20));
  recorder.Tick();
  files_.FailAfter(1, ErrorKind::kTooLarge, false);
  recorder.Append(Frames(50, kStart + seconds(1)));
  ASSERT_TRUE(recorder.recording());
  EXPECT_EQ(recorder.info().path, "out/x-2.session");
  EXPECT_EQ(recorder.info().written.frames, 150u);
  const auto ended = recorder.Stop();
  ASSERT_OK(ended);
  EXPECT_EQ(ended->drops, 0u);
  EXPECT_THAT(ended->trouble, HasSubstr("proofdrive recover out/x.session"));
  EXPECT_EQ(Open("out/x.session")->frame_count() + Open("out/x-2.session")->frame_count(), 150u);
}

TEST_F(RecorderTest, WhenNoFileMayGrowTheRecordingEndsAndSaysSo) {
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  recorder.Append(Frames(100));
  files_.FailAfter(1, ErrorKind::kTooLarge);
  recorder.Append(Frames(50, kStart + seconds(1)));
  EXPECT_FALSE(recorder.recording()) << "at once again: no use";
}

TEST_F(RecorderTest, ARecordingIsNeverShorterThanNothing) {
  Recorder recorder = Make();
  ASSERT_OK(recorder.Start(Named("x")));
  recorder.Append(Frames(10));
  recorder.Append(Frames(1, WallTime(seconds(1))));  // the clock was set
  EXPECT_EQ(recorder.Stop()->length, Duration(0));
  ASSERT_OK(recorder.Start(Named("y")));
  std::vector<Frame> malformed = Frames(3, WallTime(seconds(1)));
  for (Frame& frame : malformed) frame.length = 99;
  recorder.Append(malformed);
  EXPECT_EQ(recorder.Stop()->length, Duration(0));
}

TEST_F(RecorderTest, BudgetIsKeptBetweenAndDuringRecordings) {
  setup_.budget = 300'000;
  setup_.header.notes.clear();
  std::mt19937 random(1);
  Recorder recorder = Make();
  for (int i = 0; i < 5; ++i) {
    ASSERT_OK(recorder.Start(Named("r" + std::to_string(i))));
    for (int k = 0; k < 20; ++k) recorder.Append(Noise(500, random, k * 500));
    clock_.Advance(seconds(70));
    recorder.Tick();
    ASSERT_OK(recorder.Stop());
  }
  EXPECT_FALSE(files_.Exists("out/r0.session"));
  EXPECT_TRUE(files_.Exists("out/r4.session"));
  EXPECT_THAT(recorder.space().deleted, Contains("r0.session"));
  EXPECT_EQ(recorder.space().budget, 300'000u);
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
