#include "daemon/pipeline/pipeline.h"

#include <gmock/gmock.h>

#include <thread>

#include "decoders/language/loader.h"
#include "session/reader.h"
#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::daemon {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using testing::IsError;
using testing::IsOk;

const WallTime kStart = WallFromNanoseconds(1'772'366'400'000'000'000);  // 2026-03-01 12:00 UTC

// Invented.
constexpr char kDefinitions[] = R"(
vehicle: Test cart (invented)
byte order: big
buses: {pack: {bitrate: 500000}}
frames:
  loop:
    bus: pack
    id: 0x100
    every: 100 ms
    length: 8
    signals:
      level: {where: byte 0, states: {0: low, 1: good}}
warnings:
  coolant_low:
    text: Coolant level low
    when: level == low
    severity: stop
)";

class PipelineTest : public ::testing::Test {
 protected:
  PipelineTest() {
    session::Channel channel;
    channel.name = "can0";
    channel.bus = "pack";
    setup_.recorder.header.channels = {channel};
    setup_.recorder.directory = "out";
    setup_.recorder.live = false;
    setup_.sources = "test:1";
    setup_.sources_finished = [this] { return finished_; };
    setup_.on_ended = [this](const RecordingInfo& info) { ended_.push_back(info); };
  }

  void Define() {
    const std::vector<decoders::SourceText> texts = {{"cart.yaml", kDefinitions}};
    const auto loaded = decoders::LoadDefinitions(texts);
    ASSERT_TRUE(loaded.ok()) << decoders::FormatDiagnostics(loaded.diagnostics);
    setup_.definitions = loaded.definitions;
  }

  Pipeline Make() { return Pipeline(queue_, files_, clock_, log_, counters_, box_, setup_); }

  // `count` frames, one every 100 ms, with `level` as first byte.
  static std::vector<Frame> Frames(int from, int count, std::uint8_t level) {
    std::vector<Frame> frames(static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) {
      Frame& frame = frames[static_cast<std::size_t>(i)];
      frame.time = kStart + milliseconds(100) * (from + i);
      frame.id = 0x100;
      frame.length = 8;
      frame.data[0] = level;
    }
    return frames;
  }

  static RecordingWish Named(const std::string& name) {
    RecordingWish request;
    request.name = name;
    return request;
  }

  FrameQueue queue_;
  testing::MemoryFiles files_;
  ManualClock clock_{kStart};
  testing::KeepingLog log_;
  Counters counters_;
  SnapshotBox box_;
  bool finished_ = false;
  std::vector<RecordingInfo> ended_;
  PipelineSetup setup_;
};

TEST_F(PipelineTest, RecordsWhatIsInTheQueueUntilItIsClosed) {
  Pipeline pipeline = Make();
  ASSERT_OK(pipeline.StartRecording(Named("x")));
  queue_.Offer(Frames(0, 10, 1));
  queue_.Offer(Frames(10, 10, 1));
  queue_.Close();
  pipeline.Run();
  ASSERT_EQ(ended_.size(), 1u);
  EXPECT_TRUE(ended_[0].complete);
  EXPECT_EQ(ended_[0].written.frames, 20u);
  EXPECT_EQ(box_.Get()->frames, 20u);
  EXPECT_FALSE(box_.Get()->recording);
  ASSERT_TRUE(box_.Get()->last_recording);
  EXPECT_THAT(log_.lines(), ElementsAre("Recording to out/x.session",
                                        "Recorded 20 frames, 1.9 s, 0 lost: out/x.session"));
}

// Its last file is whole, so nothing was interrupted.
TEST_F(PipelineTest, ARecordingThatLostAFileIsNotCalledInterrupted) {
  Pipeline pipeline = Make();
  ASSERT_OK(pipeline.StartRecording(Named("x")));
  queue_.Offer(Frames(0, 10, 1));
  ASSERT_TRUE(queue_.PutTask([this] {
    EXPECT_OK(files_.Remove("out/x.session"));
    clock_.Advance(std::chrono::seconds(2));
  }));
  queue_.Offer(Frames(10, 10, 1));
  queue_.Close();
  pipeline.Run();
  ASSERT_EQ(ended_.size(), 1u);
  EXPECT_FALSE(ended_[0].complete);
  EXPECT_EQ(ended_[0].problem, "");
  EXPECT_THAT(log_.lines(), ::testing::Contains(::testing::StartsWith("Recorded ")));
  EXPECT_THAT(log_.lines(), ::testing::Not(::testing::Contains(HasSubstr("Interrupted"))));
}

TEST_F(PipelineTest, DropsOfTheQueueAreStoredCountedAndTold) {
  FrameQueue small(5);
  Pipeline pipeline(small, files_, clock_, log_, counters_, box_, setup_);
  ASSERT_OK(pipeline.StartRecording(Named("x")));
  small.Offer(Frames(0, 12, 1));
  small.Close();
  pipeline.Run();
  EXPECT_EQ(counters_.Get(Counter::kQueueDrops), 7u);
  EXPECT_EQ(box_.Get()->drops, 7u);
  const auto reader = session::Reader::Open(files_, "out/x.session");
  ASSERT_OK(reader);
  ASSERT_EQ((*reader)->events().size(), 1u);
  EXPECT_EQ((*reader)->events()[0].kind, session::EventKind::kDrops);
  EXPECT_EQ((*reader)->events()[0].count, 7u);
  EXPECT_EQ((*reader)->frame_count(), 5u);
  EXPECT_THAT(log_.lines(), ::testing::Contains(HasSubstr("7 frames were lost before recording"
                                                          ". The disk could not keep up.")));
}

TEST_F(PipelineTest, WhatTheKernelTellsOfAnAdapterIsStoredAtTheStart) {
  Pipeline pipeline = Make();
  ChannelCondition condition;
  condition.link.has_controller = true;
  condition.link.bitrate = 250000;
  condition.link.modes = "listen-only";
  condition.link.listen_only = true;
  condition.link.controller_state = "error active";
  queue_.PutCondition(0, condition);
  queue_.PutTask([&] { ASSERT_OK(pipeline.StartRecording(Named("x"))); });
  queue_.PutCondition(0, condition);
  queue_.Close();
  pipeline.Run();
  const auto reader = session::Reader::Open(files_, "out/x.session");
  ASSERT_OK(reader);
  EXPECT_EQ((*reader)->header().channels.at(0).bitrate, 250000u);
  ASSERT_EQ((*reader)->events().size(), 2u) << "once per recording";
  EXPECT_EQ((*reader)->events()[0].text, "controller: 250,000 bit/s, listen-only, error active");
  EXPECT_EQ((*reader)->events()[1].kind, session::EventKind::kErrorCounters);
  ASSERT_TRUE(box_.Get()->channels.at(0).condition);
}

TEST_F(PipelineTest, AConditionThatComesDuringTheRecordingIsStoredToo) {
  Pipeline pipeline = Make();
  ASSERT_OK(pipeline.StartRecording(Named("x")));
  ChannelCondition condition;
  condition.state = "gone";
  queue_.PutCondition(0, condition);
  queue_.Close();
  pipeline.Run();
  const auto reader = session::Reader::Open(files_, "out/x.session");
  ASSERT_OK(reader);
  ASSERT_EQ((*reader)->events().size(), 1u);
  EXPECT_EQ((*reader)->events()[0].text, "gone");
}

TEST_F(PipelineTest, EndsTheRecordingWhenEverySourceHasFinished) {
  Pipeline pipeline = Make();
  ASSERT_OK(pipeline.StartRecording(Named("x")));
  queue_.Offer(Frames(0, 10, 1));
  finished_ = true;
  std::thread closer([this] {
    while (!box_.Get()->last_recording) std::this_thread::sleep_for(milliseconds(1));
    queue_.Close();
  });
  pipeline.Run();
  closer.join();
  EXPECT_EQ(ended_.size(), 1u);
}

TEST_F(PipelineTest, MarksCarryTheTimeOfTheSource) {
  Pipeline pipeline = Make();
  EXPECT_THAT(pipeline.Mark("early"),
              IsError(ErrorKind::kUnavailable,
                      "nothing is being recorded: start with: proofdrive record start NAME"));
  ASSERT_OK(pipeline.StartRecording(Named("x")));
  clock_.Advance(seconds(500));
  queue_.Offer(Frames(0, 11, 1));
  queue_.PutTask([&] { EXPECT_EQ(pipeline.Mark("now").value(), kStart + seconds(1)); });
  queue_.Close();
  pipeline.Run();
  const auto reader = session::Reader::Open(files_, "out/x.session");
  ASSERT_OK(reader);
  ASSERT_EQ((*reader)->events().size(), 1u);
  EXPECT_EQ((*reader)->events()[0].text, "now");
}

TEST_F(PipelineTest, SaysInWordsWhenWarningsComeAndGo) {
  Define();
  Pipeline pipeline = Make();
  queue_.Offer(Frames(0, 5, 0));
  queue_.Offer(Frames(5, 5, 1));
  queue_.Close();
  pipeline.Run();
  EXPECT_THAT(log_.lines(),
              ElementsAre("Warning on: Coolant level low (coolant_low) at 2026-03-01T12:00:00.000Z",
                          "Warning off: Coolant level low (coolant_low) at "
                          "2026-03-01T12:00:00.500Z; off now is no proof of a repair"));
  const auto snapshot = box_.Get();
  ASSERT_EQ(snapshot->warnings.size(), 1u);
  EXPECT_EQ(snapshot->warnings[0].kind, decoders::WarningStateKind::kOff);
  ASSERT_EQ(snapshot->values.size(), 1u);
  EXPECT_EQ(snapshot->values[0].value.number, 1.0);
  EXPECT_FALSE(snapshot->values[0].stale);
}

// Until the first frame comes nobody knows what time it is in the recording: the warnings must not
// be taken to today, where every frame of it is too late.
TEST_F(PipelineTest, AnOldRecordingThatIsReplayedWarnsAlthoughItsFirstFrameComesLate) {
  Define();
  const ManualClock today(kStart + std::chrono::hours(24 * 365));
  Pipeline pipeline(queue_, files_, today, log_, counters_, box_, setup_);
  // Taken from the queue alone, before any frame.
  ASSERT_TRUE(queue_.PutTask([this] {
    queue_.Offer(Frames(0, 10, 0));
    queue_.Close();
  }));
  pipeline.Run();
  EXPECT_THAT(log_.lines(), ElementsAre("Warning on: Coolant level low (coolant_low) at "
                                        "2026-03-01T12:00:00.000Z"));
  ASSERT_EQ(box_.Get()->warnings.size(), 1u);
  EXPECT_EQ(box_.Get()->warnings[0].kind, decoders::WarningStateKind::kOn);
}

TEST_F(PipelineTest, AValueOfASilentFrameIsStale) {
  Define();
  setup_.recorder.live = true;
  Pipeline pipeline = Make();
  queue_.Offer(Frames(0, 1, 1));
  clock_.Advance(milliseconds(301));  // three periods and a bit
  queue_.Close();
  pipeline.Run();
  ASSERT_EQ(box_.Get()->values.size(), 1u);
  EXPECT_TRUE(box_.Get()->values[0].stale);
}

TEST_F(PipelineTest, CountsTrafficByChannel) {
  Pipeline pipeline = Make();
  queue_.Offer(Frames(0, 3, 1));
  session::Event down;
  down.kind = session::EventKind::kChannelState;
  down.channel = 0;
  down.text = "down";
  queue_.PutEvent(down);
  queue_.Close();
  pipeline.Run();
  ASSERT_EQ(box_.Get()->channels.size(), 1u);
  EXPECT_EQ(box_.Get()->channels[0].frames, 3u);
  EXPECT_EQ(box_.Get()->channels[0].state, "down");
}

}  // namespace
}  // namespace proofdrive::daemon
