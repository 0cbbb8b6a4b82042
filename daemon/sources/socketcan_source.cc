#include "daemon/sources/socketcan_source.h"

#include <atomic>
#include <thread>
#include <utility>

#include "core/base/text.h"
#include "daemon/sources/can_errors.h"
#include "daemon/stop_flag.h"

namespace proofdrive::daemon {
namespace {

constexpr Duration kReceiveTimeout = std::chrono::milliseconds(100);
constexpr Duration kRetryTime = std::chrono::milliseconds(200);

struct Words {
  std::string interface;
  std::string bus;
};

Words SplitArgument(const std::string& argument) {
  const std::size_t equals = argument.find('=');
  if (equals == std::string::npos) return {argument, {}};
  return {argument.substr(0, equals), argument.substr(equals + 1)};
}

class SocketCanSource : public FrameSource {
 public:
  SocketCanSource(std::unique_ptr<CanInterface> interface, session::Channel channel,
                  std::unique_ptr<FramePort> port, const SourceContext& context)
      : interface_(std::move(interface)),
        channel_(std::move(channel)),
        context_(context),
        port_(std::move(port)) {}
  ~SocketCanSource() override { Stop(); }

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
  void Listen(SourceSink& sink) {
    std::vector<Frame> frames;
    while (!stop_.asked()) {
      if (!port_) {
        TryToReopen(sink);
        continue;
      }
      frames.clear();
      const auto report = port_->Receive(frames, kReceiveTimeout);
      if (report.ok()) {
        Deliver(sink, frames, *report);
      } else {
        HandleError(sink, report.status());
      }
    }
  }

  void Deliver(SourceSink& sink, const std::vector<Frame>& frames, const ReceiveReport& report) {
    if (down_ && (report.frames > 0 || IsUp())) SetState(sink, "up");
    if (!frames.empty()) sink.OnFrames(frames);
    for (const Frame& frame : frames) {
      if (frame.Is(kErrorMessage)) ReportError(sink, frame);
    }
    if (report.malformed > 0) context_.counters.Add(Counter::kMalformedFrames, report.malformed);
    if (report.dropped > 0) ReportDrops(sink, report.dropped);
  }

  void ReportError(SourceSink& sink, const Frame& frame) {
    context_.counters.Add(Counter::kErrorMessages);
    for (const session::Event& event : EventsOf(frame)) {
      // A disturbed bus repeats itself a thousand times a second; a change is news.
      if (event.text == last_state_ && event.kind == session::EventKind::kChannelState) return;
      if (event.kind == session::EventKind::kChannelState) {
        last_state_ = event.text;
        context_.log.Warning(channel_.name + ": " + event.text);
      }
      sink.OnEvent(event);
    }
  }

  void ReportDrops(SourceSink& sink, std::uint64_t count) {
    context_.counters.Add(Counter::kKernelDrops, count);
    session::Event event = MakeEvent(session::EventKind::kDrops, "in the kernel");
    event.count = count;
    sink.OnEvent(event);
    context_.log.Warning(channel_.name + ": the kernel dropped " + FormatCount(count) +
                         " frames. " + std::string(InfoOf(Counter::kKernelDrops).advice));
  }

  void HandleError(SourceSink& sink, const Status& status) {
    if (status.kind() == ErrorKind::kUnavailable) {
      // The socket stays bound: frames come again after "up" (net/can/raw.c, NETDEV_DOWN).
      SetState(sink, "down");
    } else {
      SetState(sink, status.kind() == ErrorKind::kNotFound ? "gone" : status.message());
      port_.reset();
    }
    stop_.WaitFor(kRetryTime);
  }

  void TryToReopen(SourceSink& sink) {
    const auto link = interface_->Query();
    if (link.ok() && link->is_can && link->up) {
      auto port = interface_->Open(*link);
      if (port.ok()) {
        port_ = std::move(*port);
        SetState(sink, "up");
        return;
      }
    }
    stop_.WaitFor(kRetryTime);
  }

  bool IsUp() {
    const auto link = interface_->Query();
    return link.ok() && link->up;
  }

  void SetState(SourceSink& sink, const std::string& state) {
    down_ = state != "up";
    if (state == last_state_) return;
    last_state_ = state;
    sink.OnEvent(MakeEvent(session::EventKind::kChannelState, state));
    if (down_) {
      context_.log.Warning(channel_.name + " is " + state +
                           "; the recording goes on and waits for it");
    } else {
      context_.log.Info(channel_.name + " is up again");
    }
  }

  session::Event MakeEvent(session::EventKind kind, const std::string& text) const {
    session::Event event;
    event.time = context_.clock.Now().wall;
    event.kind = kind;
    event.channel = channel_.number;
    event.text = text;
    return event;
  }

  const std::unique_ptr<CanInterface> interface_;
  const session::Channel channel_;
  const SourceContext context_;
  std::unique_ptr<FramePort> port_;
  bool down_ = false;
  std::string last_state_ = "up";
  StopFlag stop_;
  std::thread thread_;
};

session::Channel DescribeChannel(const std::string& name, const std::string& bus,
                                 const LinkInfo& link, std::uint8_t number) {
  session::Channel channel;
  channel.number = number;
  channel.name = name;
  channel.bus = bus;
  channel.bitrate = link.bitrate;
  channel.data_bitrate = link.data_bitrate;
  channel.flexible_data = link.flexible_data;
  channel.timestamps = "kernel";
  return channel;
}

void Announce(const std::string& name, const LinkInfo& link, int receive_buffer, Log& log) {
  const std::string rate =
      link.bitrate > 0 ? ", " + FormatCount(link.bitrate) + " bit/s" : std::string();
  log.Info("Listening to " + name + rate + "; the kernel's receive buffer holds " +
           FormatCount(static_cast<std::uint64_t>(receive_buffer)) + " bytes");
  const std::string advice = ListenOnlyAdvice(name, link);
  if (!advice.empty()) log.Warning(advice);
}

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
  RETURN_IF_ERROR(CheckCanSockets(words.interface));
  return MakeSourceOn(MakeCanInterface(words.interface, context.first_channel, context.clock),
                      words.interface, words.bus, context);
}

Result<std::unique_ptr<FrameSource>> MakeSourceOn(std::unique_ptr<CanInterface> interface,
                                                  const std::string& name, const std::string& bus,
                                                  const SourceContext& context) {
  const auto link = interface->Query();
  RETURN_IF_ERROR(CheckLink(name, link));
  ASSIGN_OR_RETURN(auto port, interface->Open(*link));
  Announce(name, *link, interface->receive_buffer(), context.log);
  return std::unique_ptr<FrameSource>(std::make_unique<SocketCanSource>(
      std::move(interface), DescribeChannel(name, bus, *link, context.first_channel),
      std::move(port), context));
}

}  // namespace proofdrive::daemon
