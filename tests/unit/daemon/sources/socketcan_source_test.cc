#include "daemon/sources/socketcan_source.h"

#include <gmock/gmock.h>

#include <atomic>
#include <deque>
#include <thread>

#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/unit/daemon/sources/collecting_sink.h"

namespace proofdrive::daemon {
namespace {

using ::testing::Contains;
using ::testing::ElementsAre;
using testing::IsError;
using testing::IsOk;

// What a port does next: frames, an error, or nothing.
struct Step {
  std::vector<Frame> frames;
  Status error;
  std::uint64_t dropped = 0;
  std::uint64_t malformed = 0;
};

// An interface that follows a script and counts how often it was opened.
class ScriptedInterface : public CanInterface {
 public:
  struct Shared {
    std::mutex mutex;
    std::deque<Step> steps;
    LinkInfo link;
    bool exists = true;
    int opened = 0;
    int receive_buffer = kReceiveBufferNeeded;
    std::string timestamps = "kernel";
  };

  explicit ScriptedInterface(std::shared_ptr<Shared> shared) : shared_(std::move(shared)) {}

  Result<OpenedPort> Open(const LinkInfo&) override {
    const std::lock_guard lock(shared_->mutex);
    ++shared_->opened;
    return OpenedPort{std::make_unique<Port>(shared_), shared_->receive_buffer,
                      shared_->timestamps};
  }
  Result<LinkInfo> Query() override {
    const std::lock_guard lock(shared_->mutex);
    if (!shared_->exists) return Status(ErrorKind::kNotFound, "no such interface");
    return shared_->link;
  }
  Result<LinkInfo> Query(int) override { return Query(); }

 private:
  class Port : public FramePort {
   public:
    explicit Port(std::shared_ptr<Shared> shared) : shared_(std::move(shared)) {}
    Result<ReceiveReport> Receive(std::vector<Frame>& frames, Duration) override {
      const std::lock_guard lock(shared_->mutex);
      if (shared_->steps.empty()) {
        std::this_thread::yield();
        return ReceiveReport{};
      }
      const Step step = shared_->steps.front();
      shared_->steps.pop_front();
      if (!step.error.ok()) return step.error;
      frames.insert(frames.end(), step.frames.begin(), step.frames.end());
      return ReceiveReport{step.frames.size(), step.dropped, step.malformed, 0, true};
    }

   private:
    std::shared_ptr<Shared> shared_;
  };

  std::shared_ptr<Shared> shared_;
};

class SocketCanSourceTest : public ::testing::Test {
 protected:
  SocketCanSourceTest() {
    shared_->link.is_can = true;
    shared_->link.up = true;
    shared_->link.bitrate = 250000;
  }

  Result<std::unique_ptr<FrameSource>> Make() {
    SourceContext context{files_, clock_, log_, counters_, 4};
    context.wait = wait_;
    return MakeSourceOn(std::make_unique<ScriptedInterface>(shared_), "can0", "pack", context);
  }
  void Script(std::vector<Step> steps) {
    const std::lock_guard lock(shared_->mutex);
    shared_->steps.insert(shared_->steps.end(), steps.begin(), steps.end());
  }
  static Step Frames(std::uint32_t id) {
    Step step;
    step.frames.resize(1);
    step.frames[0].id = id;
    return step;
  }
  static Step Error(ErrorKind kind) {
    Step step;
    step.error = Status(kind, "scripted");
    return step;
  }
  static std::vector<std::string> Texts(const CollectingSink& sink) {
    std::vector<std::string> texts;
    for (const session::Event& event : sink.events()) texts.push_back(event.text);
    return texts;
  }

  std::shared_ptr<ScriptedInterface::Shared> shared_ =
      std::make_shared<ScriptedInterface::Shared>();
  testing::MemoryFiles files_;
  ManualClock clock_{WallFromNanoseconds(1'700'000'000'000'000'000)};
  testing::KeepingLog log_;
  Counters counters_;
  bool wait_ = false;
};

TEST_F(SocketCanSourceTest, DescribesItsChannel) {
  const auto source = Make();
  ASSERT_OK(source);
  ASSERT_EQ((*source)->channels().size(), 1u);
  const session::Channel channel = (*source)->channels()[0];
  EXPECT_EQ(channel.number, 4);
  EXPECT_EQ(channel.name, "can0");
  EXPECT_EQ(channel.bus, "pack");
  EXPECT_EQ(channel.bitrate, 250000u);
  EXPECT_EQ(channel.timestamps, "kernel");
  EXPECT_TRUE((*source)->live());
  EXPECT_THAT(log_.lines(), ElementsAre("Listening to can0, 250,000 bit/s, stamps of the kernel; "
                                        "the kernel's receive buffer holds 8,170,752 bytes"));
}

TEST_F(SocketCanSourceTest, DoesNotStartOnAnInterfaceThatIsDown) {
  shared_->link.up = false;
  EXPECT_THAT(Make(), IsError(ErrorKind::kUnavailable,
                              "can0 is down. Bring it up with: ip link set can0 up"));
}

TEST_F(SocketCanSourceTest, ASmallReceiveBufferIsToldWithTheCommand) {
  shared_->receive_buffer = 425'984;  // twice Debian's net.core.rmem_max
  ASSERT_OK(Make());
  EXPECT_THAT(log_.lines(),
              Contains("can0: the kernel grants a receive buffer of 425,984 bytes, about 554 "
                       "frames; a busy bus overflows it when this machine stalls for half a "
                       "second. Raise it with: sysctl -w net.core.rmem_max=8170752, and start "
                       "proofdrived again. To keep it, put that setting into /etc/sysctl.d"));
}

TEST_F(SocketCanSourceTest, SaysWhoseStampsItHas) {
  shared_->timestamps = "hardware";
  const auto source = Make();
  ASSERT_OK(source);
  EXPECT_EQ((*source)->channels()[0].timestamps, "hardware");
}

TEST_F(SocketCanSourceTest, WaitsForAnInterfaceThatIsNotThereYet) {
  wait_ = true;
  shared_->exists = false;
  auto source = Make();
  ASSERT_OK(source);
  EXPECT_EQ(shared_->opened, 0);
  CollectingSink sink;
  ASSERT_OK((*source)->Start(sink));
  ASSERT_TRUE(sink.WaitForEvents(1));
  Script({Frames(2)});
  {
    const std::lock_guard lock(shared_->mutex);
    shared_->exists = true;
  }
  ASSERT_TRUE(sink.WaitForFrames(1));
  (*source)->Stop();
  EXPECT_THAT(Texts(sink), ElementsAre("gone", "up"));
  EXPECT_EQ(sink.condition().link.bitrate, 250000u);
  EXPECT_THAT(log_.lines(), Contains("Waiting for can0: there is no interface \"can0\". See what "
                                     "there is: ip link show type can"));
}

TEST_F(SocketCanSourceTest, GoesOnAfterDownAndUp) {
  auto source = Make();
  ASSERT_OK(source);
  Script({Frames(1), Error(ErrorKind::kUnavailable), Frames(2)});
  CollectingSink sink;
  ASSERT_OK((*source)->Start(sink));
  ASSERT_TRUE(sink.WaitForFrames(2));
  ASSERT_TRUE(sink.WaitForEvents(2));
  (*source)->Stop();
  EXPECT_THAT(Texts(sink), ElementsAre("down", "up"));
  EXPECT_EQ(sink.events()[0].kind, session::EventKind::kChannelState);
  EXPECT_EQ(sink.events()[0].channel, 4);
  EXPECT_EQ(shared_->opened, 1) << "the socket stays bound while the interface is down";
  EXPECT_THAT(log_.lines(), Contains("can0 is down; the recording goes on and waits for it"));
}

TEST_F(SocketCanSourceTest, UpIsNoticedOnASilentBusToo) {
  auto source = Make();
  ASSERT_OK(source);
  Script({Error(ErrorKind::kUnavailable)});
  CollectingSink sink;
  ASSERT_OK((*source)->Start(sink));
  ASSERT_TRUE(sink.WaitForEvents(2));
  (*source)->Stop();
  EXPECT_THAT(Texts(sink), ElementsAre("down", "up"));
}

TEST_F(SocketCanSourceTest, OpensAgainAfterTheInterfaceWasGone) {
  auto source = Make();
  ASSERT_OK(source);
  {
    const std::lock_guard lock(shared_->mutex);
    shared_->exists = false;
  }
  Script({Frames(1), Error(ErrorKind::kNotFound)});
  CollectingSink sink;
  ASSERT_OK((*source)->Start(sink));
  ASSERT_TRUE(sink.WaitForEvents(1));
  ASSERT_THAT(Texts(sink), ElementsAre("gone"));
  Script({Frames(2)});
  {
    const std::lock_guard lock(shared_->mutex);
    shared_->exists = true;
  }
  ASSERT_TRUE(sink.WaitForFrames(2));
  (*source)->Stop();
  EXPECT_THAT(Texts(sink), ElementsAre("gone", "up"));
  EXPECT_EQ(shared_->opened, 2);
}

TEST_F(SocketCanSourceTest, KernelDropsBecomeEventsWithCounts) {
  auto source = Make();
  ASSERT_OK(source);
  Step step = Frames(1);
  step.dropped = 17;
  step.malformed = 2;
  Script({step});
  CollectingSink sink;
  ASSERT_OK((*source)->Start(sink));
  ASSERT_TRUE(sink.WaitForEvents(1));
  (*source)->Stop();
  EXPECT_EQ(sink.events()[0].kind, session::EventKind::kDrops);
  EXPECT_EQ(sink.events()[0].count, 17u);
  EXPECT_EQ(sink.events()[0].text, "in the kernel");
  EXPECT_EQ(counters_.Get(Counter::kKernelDrops), 17u);
  EXPECT_EQ(counters_.Get(Counter::kMalformedFrames), 2u);
}

TEST_F(SocketCanSourceTest, ARepeatedStateIsToldOnce) {
  auto source = Make();
  ASSERT_OK(source);
  Step bus_off = Frames(0x40);
  bus_off.frames[0].flags = kErrorMessage;
  bus_off.frames[0].length = 8;
  Script({bus_off, bus_off, bus_off, Frames(1)});
  CollectingSink sink;
  ASSERT_OK((*source)->Start(sink));
  ASSERT_TRUE(sink.WaitForFrames(4));
  (*source)->Stop();
  EXPECT_THAT(Texts(sink), ElementsAre("bus-off"));
  EXPECT_EQ(counters_.Get(Counter::kErrorMessages), 3u);
}

}  // namespace
}  // namespace proofdrive::daemon
