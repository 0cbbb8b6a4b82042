#include "daemon/sources/can/can_interface.h"

#include <linux/can.h>
#include <linux/can/raw.h>
#include <linux/net_tstamp.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <utility>

#include "core/base/text.h"

namespace proofdrive::daemon {
namespace {

// The kernel doubles it for its own accounting (socket(7)): twice what is needed.
constexpr int kReceiveBuffer = kReceiveBufferNeeded;

template <class Value>
bool Set(int descriptor, int level, int option, const Value& value) {
  return ::setsockopt(descriptor, level, option, &value, sizeof(value)) == 0;
}

// Best effort; the caller reads back what it became.
void AskForBuffer(int descriptor) {
  if (Set(descriptor, SOL_SOCKET, SO_RCVBUFFORCE, kReceiveBuffer)) return;
  Set(descriptor, SOL_SOCKET, SO_RCVBUF, kReceiveBuffer);
}

int ReadBuffer(int descriptor) {
  int bytes = 0;
  socklen_t size = sizeof(bytes);
  if (::getsockopt(descriptor, SOL_SOCKET, SO_RCVBUF, &bytes, &size) != 0) return 0;
  return bytes;
}

// Gives session::Channel::timestamps.
Result<std::string> SwitchOnStamps(int descriptor, const std::string& name) {
  constexpr int kBoth = SOF_TIMESTAMPING_RX_HARDWARE | SOF_TIMESTAMPING_RAW_HARDWARE |
                        SOF_TIMESTAMPING_RX_SOFTWARE | SOF_TIMESTAMPING_SOFTWARE;
  if (OffersHardwareStamps(name) && Set(descriptor, SOL_SOCKET, SO_TIMESTAMPING, kBoth)) {
    return std::string("hardware");
  }
  const int on = 1;
  if (Set(descriptor, SOL_SOCKET, SO_TIMESTAMPNS, on)) return std::string("kernel");
  return Status::FromErrno(errno, name + ": switch on time stamps");
}

Status SetOptions(int descriptor, const std::string& name) {
  const int on = 1;
  const can_err_mask_t all_errors = CAN_ERR_MASK;
  if (!Set(descriptor, SOL_CAN_RAW, CAN_RAW_ERR_FILTER, all_errors)) {
    return Status::FromErrno(errno, name + ": switch on error messages");
  }
  if (!Set(descriptor, SOL_SOCKET, SO_RXQ_OVFL, on)) {
    return Status::FromErrno(errno, name + ": switch on the drop counter");
  }
  // A kernel older than CAN FD does not know the option; classic frames come all the same.
  if (!Set(descriptor, SOL_CAN_RAW, CAN_RAW_FD_FRAMES, on) && errno != ENOPROTOOPT) {
    return Status::FromErrno(errno, name + ": switch on CAN FD");
  }
  AskForBuffer(descriptor);
  return Status::Ok();
}

class KernelInterface : public CanInterface {
 public:
  KernelInterface(std::string name, std::uint8_t channel, const Clock& clock)
      : name_(std::move(name)), channel_(channel), clock_(clock) {}

  Result<OpenedPort> Open(const LinkInfo& link) override {
    const int descriptor = ::socket(AF_CAN, SOCK_RAW | SOCK_CLOEXEC, CAN_RAW);
    if (descriptor < 0) return SocketError(name_, errno);
    OpenedPort opened;
    opened.port = MakeFrameReceiver(descriptor, channel_, clock_);  // closes it from here on
    RETURN_IF_ERROR(SetOptions(descriptor, name_));
    ASSIGN_OR_RETURN(opened.timestamps, SwitchOnStamps(descriptor, link.name));
    sockaddr_can address{};
    address.can_family = AF_CAN;
    address.can_ifindex = link.index;
    const auto* plain = reinterpret_cast<const sockaddr*>(&address);
    if (::bind(descriptor, plain, sizeof(address)) != 0) return SocketError(name_, errno);
    opened.receive_buffer = ReadBuffer(descriptor);
    return opened;
  }

  Result<LinkInfo> Query() override { return QueryLink(name_); }
  Result<LinkInfo> Query(int index) override { return QueryLink(index); }

 private:
  const std::string name_;
  const std::uint8_t channel_;
  const Clock& clock_;
};

}  // namespace

std::unique_ptr<CanInterface> MakeCanInterface(std::string name, std::uint8_t channel,
                                               const Clock& clock) {
  return std::make_unique<KernelInterface>(std::move(name), channel, clock);
}

std::string ReceiveBufferAdvice(const std::string& interface, int receive_buffer) {
  if (receive_buffer >= kReceiveBufferNeeded) return {};
  const int frames = receive_buffer / kBytesPerFrame;
  return interface + ": the kernel grants a receive buffer of " +
         FormatCount(static_cast<std::uint64_t>(receive_buffer)) + " bytes, about " +
         FormatCount(static_cast<std::uint64_t>(frames)) +
         " frames; a busy bus overflows it when this machine stalls for half a second. Raise it "
         "with: sysctl -w net.core.rmem_max=" +
         std::to_string(kReceiveBuffer) +
         ", and start proofdrived again. To keep it, put that setting into /etc/sysctl.d";
}

Status CheckLink(const std::string& name, const Result<LinkInfo>& link) {
  if (!link.ok()) {
    if (link.status().kind() != ErrorKind::kNotFound) return link.status().WithContext(name);
    return Status(ErrorKind::kNotFound, "there is no interface \"" + name +
                                            "\". See what there is: ip link show type can");
  }
  if (!link->is_can) {
    return Status(ErrorKind::kInvalidArgument,
                  name + " is not a CAN interface. See what there is: ip link show type can");
  }
  if (link->up) return Status::Ok();
  const std::string rate = link->has_controller && link->bitrate == 0
                               ? " type can bitrate 500000 listen-only on (with the bus's own bit "
                                 "rate), then: ip link set " +
                                     name
                               : "";
  return Status(ErrorKind::kUnavailable,
                name + " is down. Bring it up with: ip link set " + name + rate + " up");
}

Status CheckCanSockets(const std::string& name) {
  const int descriptor = ::socket(AF_CAN, SOCK_RAW | SOCK_CLOEXEC, CAN_RAW);
  if (descriptor < 0) return SocketError(name, errno);
  ::close(descriptor);
  return Status::Ok();
}

Status SocketError(const std::string& name, int error) {
  switch (error) {
    case EAFNOSUPPORT:
    case EPROTONOSUPPORT:
      return Status(ErrorKind::kNotFound,
                    name + ": this kernel has no CAN sockets. Load them with: modprobe can-raw");
    case EPERM:
    case EACCES:
      return Status(ErrorKind::kPermission,
                    name +
                        ": no permission to open a CAN socket. Any user may on a plain system: "
                        "look for a sandbox or security policy that forbids it");
    case ENODEV:
      return Status(ErrorKind::kNotFound, name + ": the interface is gone");
    default:
      return Status::FromErrno(error, name + ": open a CAN socket");
  }
}

}  // namespace proofdrive::daemon
