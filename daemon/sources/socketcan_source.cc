#include "daemon/sources/socketcan_source.h"

#include <thread>
#include <utility>

#include "core/base/text.h"
#include "daemon/process/stop_flag.h"
#include "daemon/sources/can/bus_watch.h"

namespace proofdrive::daemon {
namespace {

constexpr Duration kReceiveTimeout = std::chrono::milliseconds(100);
constexpr Duration kRetryTime = std::chrono::milliseconds(200);
constexpr Duration kLookTime = std::chrono::seconds(1);
constexpr Duration kGatherTime = std::chrono::milliseconds(5);

struct Words {
  std::string interface;
  std::string bus;
};

Words SplitArgument(const std::string& argument) {
  const std::size_t equals = argument.find('=');
  if (equals == std::string::npos) return {argument, {}};
  return {argument.substr(0, equals), argument.substr(equals + 1)};
}

// As opposed to: it is there but is no CAN interface, or the question could not be asked.
bool IsMissing(const Status& status) {
  return status.kind() == ErrorKind::kNotFound || status.kind() == ErrorKind::kUnavailable;
}

session::Channel DescribeChannel(const std::string& name, const std::string& bus,
                                 const LinkInfo& link, const SourceContext& context) {
  session::Channel channel;
  channel.number = context.first_channel;
  channel.name = name;
  channel.bus = bus;
  channel.bitrate = link.bitrate;
  channel.data_bitrate = link.data_bitrate;
  channel.flexible_data = link.flexible_data;
  channel.timestamps = "kernel";
  return channel;
}

class SocketCanSource : public FrameSource {
 public:
  SocketCanSource(std::unique_ptr<CanInterface> interface, session::Channel channel,
                  const SourceContext& context)
      : interface_(std::move(interface)),
        channel_(std::move(channel)),
        context_(context),
        watch_(channel_.number, channel_.name, context.clock, context.log, context.counters) {}
  ~SocketCanSource() override { Stop(); }

  // Before Start: opens the interface, or notes why it is not there yet.
  Status OpenFirst(const LinkInfo& link) {
    RETURN_IF_ERROR(Open(link));
    channel_.timestamps = watch_.condition().timestamps;
    return Status::Ok();
  }
  void BeginWithout(const Status& missing) {
    context_.log.Warning("Waiting for " + channel_.name + ": " + missing.message());
    watch_.BeginWith(missing.kind() == ErrorKind::kUnavailable ? "down" : "gone");
  }

  std::vector<session::Channel> channels() const override { return {channel_}; }
  bool live() const override { return true; }
  Status Start(SourceSink& sink) override {
    thread_ = std::thread([this, &sink] { Listen(sink); });
    return Status::Ok();
  }
  void Stop() override {
    stop_.Ask();
    if (thread_.joinable()) thread_.join();
  }
  bool finished() const override { return false; }

 private:
  Status Open(const LinkInfo& link) {
    ASSIGN_OR_RETURN(OpenedPort opened, interface_->Open(link));
    port_ = std::move(opened.port);
    index_ = link.index;
    watch_.Opened(link, opened.receive_buffer, opened.timestamps);
    Announce(link, opened);
    return Status::Ok();
  }

  void Announce(const LinkInfo& link, const OpenedPort& opened) {
    const std::string rate =
        link.bitrate > 0 ? ", " + FormatCount(link.bitrate) + " bit/s" : std::string();
    context_.log.Info("Listening to " + channel_.name + rate + ", stamps of the " +
                      (opened.timestamps == "hardware" ? "adapter" : "kernel") +
                      "; the kernel's receive buffer holds " +
                      FormatCount(static_cast<std::uint64_t>(opened.receive_buffer)) + " bytes");
    for (const std::string& advice : {ListenOnlyAdvice(channel_.name, link),
                                      ReceiveBufferAdvice(channel_.name, opened.receive_buffer)}) {
      if (!advice.empty()) context_.log.Warning(advice);
    }
  }

  void Listen(SourceSink& sink) {
    Publish(sink);
    std::vector<Frame> frames;
    while (!stop_.asked()) {
      if (port_) {
        frames.clear();
        ReceiveInto(frames, sink);
        LookNowAndThen();
      } else {
        TryToReopen();
      }
      Publish(sink);
    }
    watch_.Flush();
    Publish(sink);
  }

  void ReceiveInto(std::vector<Frame>& frames, SourceSink& sink) {
    const auto report = port_->Receive(frames, kReceiveTimeout);
    if (!report.ok()) return HandleError(report.status());
    Deliver(sink, frames, *report);
    // Waking up for every single frame of a busy bus costs more than the frame itself. The
    // kernel's buffer holds what comes meanwhile.
    if (report->frames > 0 && !report->more) stop_.WaitFor(kGatherTime);
  }

  void Deliver(SourceSink& sink, const std::vector<Frame>& frames, const ReceiveReport& report) {
    if (!watch_.condition().up() && (report.frames > 0 || IsUp())) watch_.SetState("up");
    if (!frames.empty()) sink.OnFrames(frames);
    for (const Frame& frame : frames) {
      if (frame.Is(kErrorMessage)) watch_.Hear(frame);
    }
    if (report.malformed > 0) context_.counters.Add(Counter::kMalformedFrames, report.malformed);
    if (report.dropped > 0) watch_.HearDrops(report.dropped);
  }

  void HandleError(const Status& status) {
    if (status.kind() == ErrorKind::kUnavailable) {
      // The socket stays bound: frames come again after "up" (net/can/raw.c, NETDEV_DOWN).
      watch_.SetState("down");
    } else {
      watch_.SetState(status.kind() == ErrorKind::kNotFound ? "gone" : status.message());
      port_.reset();
    }
    stop_.WaitFor(kRetryTime);
  }

  // A new socket: every option is set again.
  void TryToReopen() {
    const auto link = interface_->Query();
    if (link.ok() && link->is_can && link->up && Open(*link).ok()) {
      watch_.Look(*link);
      watch_.SetState("up");
    } else {
      stop_.WaitFor(kRetryTime);
    }
  }

  void LookNowAndThen() {
    const SteadyTime now = context_.clock.Now().steady;
    if (now - looked_ < kLookTime) return;
    looked_ = now;
    const auto link = interface_->Query(index_);
    if (link.ok()) watch_.Look(*link);
    watch_.Tick();
  }

  // Asked by index, because the name may have changed meanwhile.
  bool IsUp() {
    const auto link = interface_->Query(index_);
    if (link.ok()) watch_.Look(*link);
    return link.ok() && link->up;
  }

  void Publish(SourceSink& sink) {
    for (const session::Event& event : watch_.TakeEvents()) sink.OnEvent(event);
    if (watch_.TakeChanged()) sink.OnCondition(channel_.number, watch_.condition());
  }

  const std::unique_ptr<CanInterface> interface_;
  session::Channel channel_;
  const SourceContext context_;
  BusWatch watch_;
  std::unique_ptr<FramePort> port_;
  int index_ = 0;  // of the interface that the port is bound to
  SteadyTime looked_{};
  StopFlag stop_;
  std::thread thread_;
};

}  // namespace

Result<std::string> CheckSocketCanArgument(const std::string& argument) {
  const Words words = SplitArgument(argument);
  const bool bus_missing = words.bus.empty() && argument.find('=') != std::string::npos;
  if (!words.interface.empty() && !bus_missing) return words.interface;
  return Status(ErrorKind::kInvalidArgument,
                "write the interface and, if you like, its bus, as in socketcan:can0=pack");
}

Result<std::unique_ptr<FrameSource>> MakeSocketCanSource(const std::string& argument,
                                                         const SourceContext& context) {
  const Words words = SplitArgument(argument);
  if (context.can_interfaces != nullptr) {
    return MakeSourceOn((*context.can_interfaces)(words.interface, context.first_channel),
                        words.interface, words.bus, context);
  }
  RETURN_IF_ERROR(CheckCanSockets(words.interface));
  return MakeSourceOn(MakeCanInterface(words.interface, context.first_channel, context.clock),
                      words.interface, words.bus, context);
}

Result<std::unique_ptr<FrameSource>> MakeSourceOn(std::unique_ptr<CanInterface> interface,
                                                  const std::string& name, const std::string& bus,
                                                  const SourceContext& context) {
  const auto link = interface->Query();
  const Status usable = CheckLink(name, link);
  if (!usable.ok() && !(context.wait && IsMissing(usable))) return usable;
  auto source = std::make_unique<SocketCanSource>(
      std::move(interface), DescribeChannel(name, bus, link.ok() ? *link : LinkInfo{}, context),
      context);
  if (usable.ok()) {
    RETURN_IF_ERROR(source->OpenFirst(*link));
  } else {
    source->BeginWithout(usable);
  }
  return std::unique_ptr<FrameSource>(std::move(source));
}

}  // namespace proofdrive::daemon
