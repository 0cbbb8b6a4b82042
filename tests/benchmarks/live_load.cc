#include "tests/benchmarks/live_load.h"

#include <linux/can.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <functional>
#include <thread>

#include "daemon/daemon.h"
#include "daemon/pipeline/pipeline.h"
#include "decoders/language/loader.h"
#include "session/reader.h"
#include "tests/benchmarks/page_reader.h"
#include "tests/support/pair_interface.h"
#include "tests/support/temp_dir.h"

namespace proofdrive::benchmarks {
namespace {

using SteadyClock = std::chrono::steady_clock;

constexpr std::size_t kIdsPerChannel = 40;
constexpr std::size_t kDefined = 100;
constexpr std::size_t kWarnings = 20;
constexpr std::size_t kBatch = 64;
constexpr double kLongestBurst = 0.02;  // s
constexpr int kSendBuffer = 16 << 20;

[[noreturn]] void Die(const std::string& text) {
  std::fprintf(stderr, "live_benchmark: %s\n", text.c_str());
  std::exit(2);
}

void Require(const Status& status) {
  if (!status.ok()) Die(status.message());
}

// Invented: 100 frames of four signals on eight buses, and warnings on some of them.
std::string Definitions() {
  std::string text = "vehicle: Load cart (invented)\nbyte order: big\nbuses: {";
  for (int bus = 0; bus < 8; ++bus) {
    text += (bus ? ", b" : "b") + std::to_string(bus) + ": {bitrate: 1000000}";
  }
  text += "}\nframes:\n";
  for (std::size_t i = 0; i < kDefined; ++i) {
    const std::string n = std::to_string(i);
    text += "  f" + n + ":\n    bus: b" + std::to_string(i % 8) +
            "\n    id: " + std::to_string(0x100 + i / 8) + "\n    length: 8\n    signals:\n" +
            "      count" + n + ": {where: bytes 0-1}\n" + "      level" + n +
            ": {where: byte 2, scale: 0.5, unit: \"%\"}\n" + "      temp" + n +
            ": {where: byte 3, scale: 1, offset: -40, unit: degC}\n" + "      volt" + n +
            ": {where: bytes 4-5, scale: 0.1, unit: V}\n";
  }
  text += "warnings:\n";
  for (std::size_t i = 0; i < kWarnings; ++i) {
    const std::string n = std::to_string(i);
    text += "  w" + n + ": {text: Level " + n + " high, when: level" + n +
            " > 120, on after: 1 s, severity: note}\n";
  }
  return text;
}

// Frame `number` of a channel: its identifiers take turns, contents are a counter and slow curves.
can_frame RawFrame(std::uint64_t number) {
  can_frame raw{};
  raw.can_id = static_cast<canid_t>(0x100 + number % kIdsPerChannel);
  raw.len = 8;
  const std::uint64_t turn = number / kIdsPerChannel;
  raw.data[0] = static_cast<std::uint8_t>(turn >> 8);
  raw.data[1] = static_cast<std::uint8_t>(turn);
  raw.data[2] = static_cast<std::uint8_t>(turn >> 9);
  raw.data[3] = static_cast<std::uint8_t>(60 + (turn >> 12) % 20);
  raw.data[4] = 15;
  raw.data[5] = static_cast<std::uint8_t>((turn >> 7) * 37 % 23);
  raw.data[7] = static_cast<std::uint8_t>(turn * 2654435761U >> 30);  // two restless bits
  return raw;
}

// --- the sending process ---

struct Sent {
  std::uint64_t sent = 0;
  std::uint64_t refused = 0;  // of these, by a full socket, as a kernel drops them
  double seconds = 0;
};

class Sender {
 public:
  explicit Sender(int end) : end_(end) {
    for (std::size_t i = 0; i < kBatch; ++i) {
      vectors_[i] = {&frames_[i], sizeof(frames_[i])};
      messages_[i].msg_hdr = {};
      messages_[i].msg_hdr.msg_iov = &vectors_[i];
      messages_[i].msg_hdr.msg_iovlen = 1;
    }
  }
  // Gives how many were not taken; with `wait` all are.
  std::uint64_t Send(std::uint64_t count, bool wait) {
    std::uint64_t refused = 0;
    while (count > 0) {
      const std::size_t batch = std::min<std::uint64_t>(count, kBatch);
      for (std::size_t i = 0; i < batch; ++i) frames_[i] = RawFrame(number_++);
      refused += SendBatch(batch, wait);
      count -= batch;
    }
    return refused;
  }

 private:
  std::uint64_t SendBatch(std::size_t batch, bool wait) {
    std::size_t done = 0;
    while (done < batch) {
      const int taken = ::sendmmsg(end_, messages_.data() + done,
                                   static_cast<unsigned>(batch - done), wait ? 0 : MSG_DONTWAIT);
      if (taken <= 0) return batch - done;
      done += static_cast<std::size_t>(taken);
    }
    return 0;
  }

  const int end_;
  std::uint64_t number_ = 0;
  std::array<can_frame, kBatch> frames_{};
  std::array<iovec, kBatch> vectors_{};
  std::array<mmsghdr, kBatch> messages_{};
};

Sent SendAll(const LoadPlan& plan, const std::vector<int>& ends) {
  std::vector<Sender> senders(ends.begin(), ends.end());
  Sent sent;
  double due = 0;  // on each channel, since the beginning
  const auto begun = SteadyClock::now();
  const auto elapsed = [&] { return ToSeconds(SteadyClock::now() - begun); };
  while (elapsed() < plan.seconds) {
    const bool paced = plan.frames_per_s > 0;
    std::uint64_t more = kBatch;
    if (paced) {
      std::this_thread::sleep_for(std::chrono::milliseconds(2));
      const double rate = static_cast<double>(plan.frames_per_s);
      const double now_due = std::min(elapsed(), plan.seconds) * rate;
      // Whoever was kept from sending does not catch up: no bus carries more than its rate.
      more = static_cast<std::uint64_t>(std::min(now_due - due, rate * kLongestBurst));
      due = now_due;
    }
    for (Sender& sender : senders) sent.refused += sender.Send(more, !paced);
    sent.sent += more * senders.size();
  }
  sent.seconds = elapsed();
  return sent;
}

struct Pipe {
  Pipe() {
    int ends[2];
    if (::pipe(ends) != 0) Die("no pipe");
    read = ends[0];
    write = ends[1];
  }
  int read = -1;
  int write = -1;
};

// Runs `work` in a process of its own, which ends with it.
pid_t Fork(const std::function<void()>& work) {
  const pid_t pid = ::fork();
  if (pid < 0) Die("cannot fork");
  if (pid > 0) return pid;
  work();
  std::_Exit(0);
}

void Wait(pid_t pid, rusage& usage) {
  int status = 0;
  if (::wait4(pid, &status, 0, &usage) != pid || status != 0) Die("a process failed");
}

double Seconds(const timeval& time) {
  return static_cast<double>(time.tv_sec) + static_cast<double>(time.tv_usec) * 1e-6;
}

double CpuSeconds(const rusage& usage) { return Seconds(usage.ru_utime) + Seconds(usage.ru_stime); }

// --- the daemon's process ---

class QuietLog : public Log {
 public:
  void Write(LogLevel level, std::string_view text) override {
    if (level == LogLevel::kError) std::fprintf(stderr, "%.*s\n", int(text.size()), text.data());
  }
};

daemon::Options OptionsFor(const LoadPlan& plan, const testing::TempDir& folder) {
  daemon::Options options;
  for (std::size_t i = 0; i < plan.channels; ++i) {
    const std::string number = std::to_string(i);
    auto source = daemon::ParseSource("socketcan:pair" + number + "=b" + number);
    Require(source.status());
    options.sources.push_back(*source);
  }
  options.definitions = {folder.File("load.yaml")};
  options.sessions = folder.path();
  options.socket = folder.File("socket");
  options.record.emplace();
  options.record->name = "load";
  return options;
}

// Ends when `done` can be read: the sender has finished.
void RunDaemonOn(const LoadPlan& plan, const testing::TempDir& folder, const std::vector<int>& ends,
                 int done) {
  SlowFiles files(plan.disk);
  const SystemClock clock;
  QuietLog log;
  daemon::StopFlag stop;
  daemon::Environment environment{files, clock, log, stop, nullptr, {}};
  environment.can_interfaces = [&](const std::string&, std::uint8_t channel) {
    return std::make_unique<testing::PairInterface>(ends[channel], channel);
  };
  std::thread ending([&] {
    Sent sent;
    if (::read(done, &sent, sizeof(sent)) < 0) Die("the sender is gone");
    std::this_thread::sleep_for(std::chrono::seconds(1));  // what is still in the sockets
    stop.Ask();
  });
  Require(daemon::RunDaemon(OptionsFor(plan, folder), environment));
  ending.join();
}

void CountSession(const testing::TempDir& folder, LoadResult& result) {
  PosixFiles files;
  const auto reader = session::Reader::Open(files, folder.File("load.session"));
  Require(reader.status());
  result.recorded = (*reader)->frame_count();
  for (const session::Event& event : (*reader)->events()) {
    if (event.kind == session::EventKind::kDrops) result.lost += event.count;
  }
}

LoadResult RunThroughSockets(const LoadPlan& plan, const testing::TempDir& folder) {
  std::vector<int> senders;
  std::vector<int> receivers;
  for (std::size_t i = 0; i < plan.channels; ++i) {
    int ends[2];
    if (::socketpair(AF_UNIX, SOCK_SEQPACKET, 0, ends) != 0) Die("no socket pair");
    if (::setsockopt(ends[0], SOL_SOCKET, SO_SNDBUFFORCE, &kSendBuffer, sizeof(int)) != 0) {
      ::setsockopt(ends[0], SOL_SOCKET, SO_SNDBUF, &kSendBuffer, sizeof(int));
    }
    senders.push_back(ends[0]);
    receivers.push_back(ends[1]);
  }
  Pipe done;
  Pipe copy;
  const pid_t daemon = Fork([&] { RunDaemonOn(plan, folder, receivers, done.read); });
  const pid_t sender = Fork([&] {
    std::this_thread::sleep_for(std::chrono::milliseconds(500));
    const Sent sent = SendAll(plan, senders);
    for (const Pipe& pipe : {done, copy}) {
      if (::write(pipe.write, &sent, sizeof(sent)) != sizeof(sent)) Die("nobody listens");
    }
  });
  Pipe seen;
  std::vector<pid_t> lookers;
  for (std::size_t i = 0; i < plan.pages; ++i) {
    lookers.push_back(Fork([&] {
      const std::uint64_t messages = ReadPage(folder.File("socket"));
      if (::write(seen.write, &messages, sizeof(messages)) < 0) Die("nobody listens");
    }));
  }
  rusage usage{};
  Wait(sender, usage);
  for (const pid_t looker : lookers) Wait(looker, usage);
  Wait(daemon, usage);
  Sent sent;
  if (::read(copy.read, &sent, sizeof(sent)) != sizeof(sent)) Die("the sender told nothing");
  for (const int end : senders) ::close(end);
  for (const int end : receivers) ::close(end);
  LoadResult result;
  result.sent = sent.sent;
  result.lost = result.refused = sent.refused;
  result.seconds = sent.seconds;
  result.cpu_s = CpuSeconds(usage);
  result.kernel_s = Seconds(usage.ru_stime);
  result.peak_mib = static_cast<double>(usage.ru_maxrss) / 1024;
  for (std::size_t i = 0; i < plan.pages; ++i) {
    std::uint64_t messages = 0;
    if (::read(seen.read, &messages, sizeof(messages)) < 0) Die("nobody looked");
    result.messages += messages;
  }
  CountSession(folder, result);
  return result;
}

// --- without sockets ---

struct Inside {
  std::uint64_t sent = 0;
  double seconds = 0;
  double cpu_s = 0;  // of the writing thread alone
  double kernel_s = 0;
};

std::vector<Frame> MemoryFrames(std::uint64_t first, std::size_t count) {
  std::vector<Frame> frames(count);
  for (std::size_t i = 0; i < count; ++i) {
    const can_frame raw = RawFrame(first + i);
    frames[i].id = raw.can_id;
    frames[i].length = 8;
    std::memcpy(frames[i].data.data(), raw.data, 8);
  }
  return frames;
}

// Puts the same second of frames in again and again with new times, as far as there is room.
std::uint64_t Fill(daemon::FrameQueue& queue, double seconds, WallTime start) {
  std::vector<Frame> frames = MemoryFrames(0, std::size_t{1} << 16);
  const auto begun = SteadyClock::now();
  std::uint64_t sent = 0;
  while (ToSeconds(SteadyClock::now() - begun) < seconds) {
    for (std::size_t i = 0; i < frames.size(); i += 256) {
      const std::span<Frame> batch = std::span(frames).subspan(i, 256);
      for (Frame& frame : batch) frame.time = start + Duration(1000) * sent++;
      queue.Put(batch);
    }
  }
  return sent;
}

Inside RunPipeline(const LoadPlan& plan, const testing::TempDir& folder) {
  SlowFiles files(plan.disk);
  const SystemClock clock;
  QuietLog log;
  Counters counters;
  daemon::SnapshotBox box;
  daemon::FrameQueue queue;
  daemon::PipelineSetup setup;
  setup.recorder.directory = folder.path();
  setup.recorder.header.channels.resize(1);
  setup.recorder.header.channels[0].bus = "b0";
  setup.sources_finished = [] { return false; };
  const std::string definitions[] = {folder.File("load.yaml")};
  setup.definitions = decoders::LoadDefinitionFiles(files, definitions).definitions;
  daemon::Pipeline pipeline(queue, files, clock, log, counters, box, setup);
  daemon::RecordingWish request;
  request.name = "load";
  Require(pipeline.StartRecording(request).status());
  Inside inside;
  std::thread writing([&] {
    pipeline.Run();
    rusage usage{};
    ::getrusage(RUSAGE_THREAD, &usage);
    inside.cpu_s = CpuSeconds(usage);
    inside.kernel_s = Seconds(usage.ru_stime);
  });
  const auto begun = SteadyClock::now();
  inside.sent = Fill(queue, plan.seconds, clock.Now().wall);
  inside.seconds = ToSeconds(SteadyClock::now() - begun);
  queue.Close();
  writing.join();
  return inside;
}

LoadResult RunInMemory(const LoadPlan& plan, const testing::TempDir& folder) {
  Pipe told;
  const pid_t process = Fork([&] {
    const Inside inside = RunPipeline(plan, folder);
    if (::write(told.write, &inside, sizeof(inside)) != sizeof(inside)) Die("nobody listens");
  });
  rusage usage{};
  Wait(process, usage);
  Inside inside;
  if (::read(told.read, &inside, sizeof(inside)) != sizeof(inside)) Die("nothing was told");
  LoadResult result;
  result.sent = inside.sent;
  result.seconds = inside.seconds;
  result.cpu_s = inside.cpu_s;
  result.kernel_s = inside.kernel_s;
  result.peak_mib = static_cast<double>(usage.ru_maxrss) / 1024;
  CountSession(folder, result);
  return result;
}

}  // namespace

LoadResult RunLoad(const LoadPlan& plan) {
  const testing::TempDir folder;
  PosixFiles files;
  Require(ReplaceFile(files, folder.File("load.yaml"), Definitions()));
  return plan.in_memory ? RunInMemory(plan, folder) : RunThroughSockets(plan, folder);
}

}  // namespace proofdrive::benchmarks
