#include "daemon/sources/can/can_sender.h"

#include <linux/can.h>
#include <linux/can/raw.h>
#include <net/if.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

namespace proofdrive::daemon {
namespace {

Result<int> OpenSocket(const std::string& interface) {
  const int descriptor = ::socket(AF_CAN, SOCK_RAW | SOCK_CLOEXEC, CAN_RAW);
  if (descriptor < 0) return Status::FromErrno(errno, interface + ": open a socket for sending");
  sockaddr_can address{};
  address.can_family = AF_CAN;
  address.can_ifindex = static_cast<int>(::if_nametoindex(interface.c_str()));
  const auto* plain = reinterpret_cast<const sockaddr*>(&address);
  // No filter at all: nothing is received.
  const int on = 1;
  const bool ready =
      ::setsockopt(descriptor, SOL_CAN_RAW, CAN_RAW_FILTER, nullptr, 0) == 0 &&
      ::setsockopt(descriptor, SOL_CAN_RAW, CAN_RAW_FD_FRAMES, &on, sizeof(on)) == 0 &&
      address.can_ifindex != 0 && ::bind(descriptor, plain, sizeof(address)) == 0;
  if (ready) return descriptor;
  const Status status = Status::FromErrno(errno, interface + ": make a socket for sending");
  ::close(descriptor);
  return status;
}

class CanSender : public FrameSender {
 public:
  explicit CanSender(std::string interface) : interface_(std::move(interface)) {}
  ~CanSender() override { Close(); }
  CanSender(const CanSender&) = delete;
  CanSender& operator=(const CanSender&) = delete;

  Status Send(const Frame& frame) override {
    const bool fd = frame.Is(kFlexibleData);
    if (frame.Is(kRemote) || frame.length > (fd ? CANFD_MAX_DLEN : CAN_MAX_DLEN)) {
      return Status(ErrorKind::kInvalidArgument, "only data frames are sent");
    }
    if (descriptor_ < 0) {
      ASSIGN_OR_RETURN(descriptor_, OpenSocket(interface_));
    }
    canfd_frame raw{};  // a classic frame begins the same, and is shorter
    raw.can_id = frame.id | (frame.Is(kExtendedId) ? CAN_EFF_FLAG : 0);
    raw.len = frame.length;
    if (frame.Is(kBitRateSwitch)) raw.flags = CANFD_BRS;
    std::memcpy(raw.data, frame.data.data(), frame.length);
    const std::size_t size = fd ? CANFD_MTU : CAN_MTU;
    if (::send(descriptor_, &raw, size, MSG_DONTWAIT) == static_cast<ssize_t>(size)) {
      return Status::Ok();
    }
    const int error = errno;
    if (error == ENODEV || error == ENXIO) Close();  // gone; it may come back under a new number
    return Status(ErrorKind::kUnavailable,
                  interface_ +
                      (fd ? " does not take CAN FD frames now; is it up in FD mode, and not in "
                            "listen-only mode? "
                          : " does not take frames now; is it up, and not in listen-only mode? ") +
                      std::strerror(error));
  }

 private:
  void Close() {
    if (descriptor_ >= 0) ::close(std::exchange(descriptor_, -1));
  }

  const std::string interface_;
  int descriptor_ = -1;
};

}  // namespace

std::unique_ptr<FrameSender> MakeCanSender(const std::string& interface) {
  return std::make_unique<CanSender>(interface);
}

}  // namespace proofdrive::daemon
