// The capture path: it cannot send, and it loses nothing by itself under load.
#include <gmock/gmock.h>
#include <linux/can.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cstdio>
#include <thread>

#include "core/base/posix_files.h"
#include "daemon/pipeline/pipeline.h"
#include "daemon/sources/socketcan_source.h"
#include "session/reader.h"
#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/pair_interface.h"
#include "tests/support/places.h"
#include "tests/support/temp_dir.h"

namespace proofdrive::daemon {
namespace {

using testing::IsOk;

// Symbols a member of the daemon's library needs from elsewhere.
std::vector<std::string> NeededSymbols(const std::string& member) {
  const std::string command =
      "nm -u " + testing::BuildPath("daemon/libproofdrive_daemon.a") + " 2>/dev/null";
  std::vector<std::string> symbols;
  FILE* pipe = ::popen(command.c_str(), "r");
  if (pipe == nullptr) return symbols;
  char line[4096];
  bool inside = false;
  while (std::fgets(line, sizeof(line), pipe) != nullptr) {
    std::string text(line);
    while (!text.empty() && (text.back() == '\n' || text.back() == ':')) text.pop_back();
    if (text.ends_with(".o")) inside = text == member;
    const std::size_t at = text.find("U ");
    if (inside && at != std::string::npos) symbols.push_back(text.substr(at + 2));
  }
  ::pclose(pipe);
  return symbols;
}

TEST(CapturePathTest, HasNoFunctionForSending) {
  const auto asks_the_kernel = NeededSymbols("can_link.cc.o");
  if (asks_the_kernel.empty()) GTEST_SKIP() << "nm is missing or the library is elsewhere";
  // The question about an interface goes over netlink; it shows that this test can see a send.
  EXPECT_THAT(asks_the_kernel, ::testing::Contains("send"));
  const std::string senders[] = {"send",   "sendto",  "sendmsg", "sendmmsg",
                                 "write",  "writev",  "pwritev", "sendfile",
                                 "splice", "syscall", "ioctl",   "io_submit"};
  for (const char* member : {"frame_receiver.cc.o", "can_interface.cc.o", "can_errors.cc.o",
                             "bus_watch.cc.o", "socketcan_source.cc.o"}) {
    const auto needed = NeededSymbols(member);
    EXPECT_FALSE(needed.empty()) << member;
    for (const std::string& sender : senders) {
      EXPECT_THAT(needed, ::testing::Not(::testing::Contains(sender))) << member;
    }
    for (const std::string& symbol : needed) {
      EXPECT_EQ(symbol.find("Sender"), std::string::npos) << member << " reaches the way out";
    }
  }
}

class LiveSink : public SourceSink {
 public:
  explicit LiveSink(FrameQueue& queue) : queue_(queue) {}
  void OnFrames(std::span<const Frame> frames) override {
    queue_.Offer(frames);
    received_ += frames.size();
  }
  void OnEvent(const session::Event&) override {}
  void OnCondition(std::uint8_t, const ChannelCondition&) override {}
  std::uint64_t received() const { return received_; }

 private:
  FrameQueue& queue_;
  std::atomic<std::uint64_t> received_{0};
};

// Writes frames as fast as they are taken, at most `count` and `time`. Gives how many.
std::uint64_t Flood(int end, std::uint64_t count, Duration time) {
  const auto limit = std::chrono::steady_clock::now() + time;
  can_frame raw{};
  raw.len = 8;
  std::uint64_t sent = 0;
  while (sent < count && (sent % 256 != 0 || std::chrono::steady_clock::now() < limit)) {
    raw.can_id = static_cast<canid_t>(sent % 0x700);
    for (int i = 0; i < 8; ++i) raw.data[i] = static_cast<std::uint8_t>(sent >> (8 * i));
    if (::send(end, &raw, sizeof(raw), 0) != static_cast<ssize_t>(sizeof(raw))) break;
    ++sent;
  }
  return sent;
}

struct LoadResult {
  std::uint64_t sent = 0;
  std::uint64_t recorded = 0;
  std::uint64_t dropped = 0;
  double seconds = 0;
};

LoadResult RunLoad(std::uint64_t count, Duration time) {
  int ends[2];
  EXPECT_EQ(::socketpair(AF_UNIX, SOCK_SEQPACKET, 0, ends), 0);
  testing::TempDir folder;
  PosixFiles files;
  const SystemClock clock;
  testing::KeepingLog log;
  Counters counters;
  SnapshotBox box;
  FrameQueue queue;
  PipelineSetup setup;
  setup.recorder.directory = folder.path();
  setup.recorder.reserve = 1;
  setup.recorder.header.channels.resize(1);
  setup.sources_finished = [] { return false; };
  Pipeline pipeline(queue, files, clock, log, counters, box, setup);
  RecordingWish request;
  request.name = "load";
  EXPECT_OK(pipeline.StartRecording(request));
  std::thread writing([&] { pipeline.Run(); });
  LiveSink sink(queue);
  LoadResult result;
  {
    const SourceContext context{files, clock, log, counters, 0};
    auto source =
        MakeSourceOn(std::make_unique<testing::PairInterface>(ends[1]), "pair", "", context);
    EXPECT_OK(source);
    EXPECT_OK((*source)->Start(sink));
    const auto begun = std::chrono::steady_clock::now();
    result.sent = Flood(ends[0], count, time);
    for (int i = 0; i < 2000 && sink.received() < result.sent; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    result.seconds = ToSeconds(std::chrono::steady_clock::now() - begun);
    (*source)->Stop();
  }
  queue.Close();
  writing.join();
  ::close(ends[0]);
  result.dropped = counters.Get(Counter::kQueueDrops);
  auto reader = session::Reader::Open(files, folder.File("load.session"));
  EXPECT_OK(reader);
  std::uint64_t next = 0;
  EXPECT_OK((*reader)->ForEachFrame([&](const Frame& frame) {
    std::uint64_t number = 0;
    for (std::size_t i = 8; i-- > 0;) number = number << 8 | frame.data[i];
    EXPECT_GE(number, next) << "out of order or twice";
    next = number + 1;
    ++result.recorded;
    return !::testing::Test::HasFailure();
  }));
  std::printf("%llu frames in %.2f s, %.0f frames/s, %llu dropped and counted\n",
              static_cast<unsigned long long>(result.sent), result.seconds,
              static_cast<double>(result.sent) / result.seconds,
              static_cast<unsigned long long>(result.dropped));
  return result;
}

TEST(LoadTest, ABurstAsLargeAsTheQueueLosesNothingHoweverSlowTheMachine) {
  const LoadResult result = RunLoad(FrameQueue::kDefaultCapacity, std::chrono::minutes(2));
  EXPECT_EQ(result.sent, FrameQueue::kDefaultCapacity);
  EXPECT_EQ(result.dropped, 0u);
  EXPECT_EQ(result.recorded, result.sent);
}

TEST(LoadTest, EveryFrameOfTwoSecondsAtFullSpeedIsRecordedOrCounted) {
  const LoadResult result = RunLoad(~std::uint64_t{0}, std::chrono::seconds(2));
  EXPECT_GT(result.sent, 0u);
  EXPECT_EQ(result.recorded + result.dropped, result.sent);
}

}  // namespace
}  // namespace proofdrive::daemon
