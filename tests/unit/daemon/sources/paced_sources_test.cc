// The sources with a pace of their own: bench vehicle and replay.
#include <gmock/gmock.h>

#include "bench/scenarios/scenarios.h"
#include "daemon/sources/bench_source.h"
#include "daemon/sources/replay_source.h"
#include "daemon/sources/simulation.h"
#include "session/writer.h"
#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/unit/daemon/sources/collecting_sink.h"

namespace proofdrive::daemon {
namespace {

using std::chrono::milliseconds;
using ::testing::HasSubstr;
using testing::IsError;
using testing::IsOk;

const WallTime kStart = WallFromNanoseconds(1'772'366'400'000'000'000);

// Emits one frame per simulated 10 ms for one second. Invented.
class TickingVehicle : public bench::Vehicle {
 public:
  Duration duration() const override { return std::chrono::seconds(1); }
  bool Run(Duration until, std::vector<Frame>& frames) override {
    for (; done_ < until && done_ < duration(); done_ += milliseconds(10)) {
      Frame frame;
      frame.time = kStart + done_;
      frames.push_back(frame);
    }
    return done_ < duration();
  }
  std::string TruthJson() const override { return "{\"invented\":true}"; }

 private:
  Duration done_{0};
};

class PacedSourcesTest : public ::testing::Test {
 protected:
  SourceContext Context(std::uint8_t first = 0) { return {files_, clock_, log_, counters_, first}; }
  static void WaitUntilFinished(const FrameSource& source) {
    for (int i = 0; i < 2000 && !source.finished(); ++i) {
      std::this_thread::sleep_for(milliseconds(10));
    }
    ASSERT_TRUE(source.finished());
  }

  testing::MemoryFiles files_;
  ManualClock clock_{kStart};
  testing::KeepingLog log_;
  Counters counters_;
};

TEST_F(PacedSourcesTest, VehicleAsFastAsPossibleDeliversEverythingOnce) {
  const auto source = MakeVehicleSource(std::make_unique<TickingVehicle>(), 0, 0);
  CollectingSink sink;
  ASSERT_OK(source->Start(sink));
  WaitUntilFinished(*source);
  source->Stop();
  const auto frames = sink.frames();
  ASSERT_EQ(frames.size(), 100u);
  for (std::size_t i = 0; i < frames.size(); ++i) {
    EXPECT_EQ(frames[i].time, kStart + milliseconds(10) * static_cast<int>(i));
  }
  EXPECT_FALSE(source->live());
  ASSERT_NE(source->simulation(), nullptr);
  EXPECT_EQ(source->simulation()->TruthJson(), "{\"invented\":true}");
}

TEST_F(PacedSourcesTest, VehicleKeepsItsPace) {
  const auto source = MakeVehicleSource(std::make_unique<TickingVehicle>(), 10, 0);
  CollectingSink sink;
  const auto begun = std::chrono::steady_clock::now();
  ASSERT_OK(source->Start(sink));
  WaitUntilFinished(*source);
  EXPECT_GE(std::chrono::steady_clock::now() - begun, milliseconds(75))
      << "1 s at speed 10 lasts 100 ms less one step";
}

TEST_F(PacedSourcesTest, StopEndsAWaitingSource) {
  const auto source = MakeVehicleSource(std::make_unique<TickingVehicle>(), 0.001, 0);
  CollectingSink sink;
  ASSERT_OK(source->Start(sink));
  ASSERT_TRUE(sink.WaitForFrames(1));
  source->Stop();
  EXPECT_FALSE(source->finished()) << "it did not deliver everything";
  source->Stop();
}

TEST_F(PacedSourcesTest, BenchSourceHasTwoBusesAndStartsNow) {
  const auto source = MakeBenchSource("repaired@max", Context(3));
  ASSERT_OK(source);
  const auto channels = (*source)->channels();
  ASSERT_EQ(channels.size(), 2u);
  EXPECT_EQ(channels[0].number, 3);
  EXPECT_EQ(channels[0].bus, "pack");
  EXPECT_EQ(channels[1].number, 4);
  EXPECT_EQ(channels[1].bus, "drive");
  EXPECT_EQ(channels[1].timestamps, "simulated");
  CollectingSink sink;
  ASSERT_OK((*source)->Start(sink));
  ASSERT_TRUE(sink.WaitForFrames(10));
  (*source)->Stop();
  EXPECT_GE(sink.frames()[0].time, kStart);
  EXPECT_LT(sink.frames()[0].time, kStart + std::chrono::seconds(5));
}

TEST_F(PacedSourcesTest, UnknownScenarioNamesTheOthers) {
  EXPECT_THAT(CheckBenchArgument("picnic"),
              IsError(ErrorKind::kNotFound,
                      HasSubstr("there is no scenario \"picnic\". Possible: coolant-leak")));
  const std::string all = CheckBenchArgument("insulation-falt").status().message();
  EXPECT_THAT(all, HasSubstr("Did you mean insulation-fault?"));
  for (const bench::Scenario& one : bench::CheckScenarioTable()) {
    EXPECT_THAT(all, HasSubstr(std::string(one.name)));
  }
}

class ReplayTest : public PacedSourcesTest {
 protected:
  void Record(const std::vector<Frame>& frames) {
    session::Header header;
    session::Channel channel;
    channel.number = 9;
    channel.name = "can0";
    channel.bus = "pack";
    channel.timestamps = "kernel";
    header.channels = {channel};
    auto writer = session::Writer::Create(files_, "in/a.session", header);
    ASSERT_OK(writer);
    ASSERT_OK((*writer)->Append(frames));
    ASSERT_OK((*writer)->Finish());
  }
  static std::vector<Frame> Frames(std::size_t count) {
    std::vector<Frame> frames(count);
    for (std::size_t i = 0; i < count; ++i) {
      frames[i].time = kStart + milliseconds(1) * static_cast<int>(i);
      frames[i].channel = 9;
      frames[i].id = static_cast<std::uint32_t>(i % 7);
      frames[i].length = 1;
      frames[i].data[0] = static_cast<std::uint8_t>(i);
    }
    return frames;
  }
};

TEST_F(ReplayTest, DeliversTheSameFramesOnItsOwnChannels) {
  Record(Frames(5000));
  auto source = MakeReplaySource("in/a.session@max", Context(2));
  ASSERT_OK(source);
  ASSERT_EQ((*source)->channels().size(), 1u);
  EXPECT_EQ((*source)->channels()[0].number, 2);
  EXPECT_EQ((*source)->channels()[0].name, "can0");
  EXPECT_EQ((*source)->channels()[0].timestamps, "file");
  CollectingSink sink;
  ASSERT_OK((*source)->Start(sink));
  WaitUntilFinished(**source);
  auto expected = Frames(5000);
  for (Frame& frame : expected) frame.channel = 2;
  EXPECT_EQ(sink.frames(), expected);
  EXPECT_THAT(sink.events(), ::testing::IsEmpty());
}

TEST_F(ReplayTest, KeepsThePaceTimesTheSpeed) {
  Record(Frames(1000));
  auto source = MakeReplaySource("in/a.session@10", Context());
  ASSERT_OK(source);
  CollectingSink sink;
  const auto begun = std::chrono::steady_clock::now();
  ASSERT_OK((*source)->Start(sink));
  WaitUntilFinished(**source);
  EXPECT_GE(std::chrono::steady_clock::now() - begun, milliseconds(99));
  EXPECT_EQ(sink.frames().size(), 1000u);
}

TEST_F(ReplayTest, TellsWhatTheRecordingHadLost) {
  Record(Frames(5000));
  auto& bytes = files_.Contents("in/a.session");
  bytes[bytes.size() / 2] ^= 0xFF;
  auto source = MakeReplaySource("in/a.session@max", Context());
  ASSERT_OK(source);
  CollectingSink sink;
  ASSERT_OK((*source)->Start(sink));
  WaitUntilFinished(**source);
  ASSERT_FALSE(sink.events().empty());
  EXPECT_EQ(sink.events()[0].kind, session::EventKind::kNotice);
  EXPECT_THAT(sink.events()[0].text, HasSubstr("replay of in/a.session: "));
}

TEST_F(ReplayTest, MissingFile) {
  EXPECT_EQ(MakeReplaySource("in/none.session", Context()).status().kind(), ErrorKind::kNotFound);
}

}  // namespace
}  // namespace proofdrive::daemon
