#include "daemon/sources/can_sender.h"

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

class CanSender : public FrameSender {
 public:
  CanSender(std::string interface, int descriptor)
      : interface_(std::move(interface)), descriptor_(descriptor) {}
  ~CanSender() override { ::close(descriptor_); }
  CanSender(const CanSender&) = delete;
  CanSender& operator=(const CanSender&) = delete;

  Status Send(const Frame& frame) override {
    if (frame.length > CAN_MAX_DLEN || frame.Is(kRemote) || frame.Is(kFlexibleData)) {
      return Status(ErrorKind::kInvalidArgument, "only classic data frames are sent");
    }
    can_frame raw{};
    raw.can_id = frame.id | (frame.Is(kExtendedId) ? CAN_EFF_FLAG : 0);
    raw.len = frame.length;
    std::memcpy(raw.data, frame.data.data(), frame.length);
    const ssize_t written = ::send(descriptor_, &raw, sizeof(raw), MSG_DONTWAIT);
    if (written == static_cast<ssize_t>(sizeof(raw))) return Status::Ok();
    if (errno == ENOBUFS || errno == EAGAIN || errno == ENETDOWN) {
      return Status(ErrorKind::kUnavailable,
                    interface_ +
                        " does not take frames now: is it up, and not in listen-only "
                        "mode? " +
                        std::strerror(errno));
    }
    return Status::FromErrno(errno, interface_ + ": send a frame");
  }

 private:
  const std::string interface_;
  const int descriptor_;
};

}  // namespace

Result<std::unique_ptr<FrameSender>> MakeCanSender(const std::string& interface) {
  const int descriptor = ::socket(AF_CAN, SOCK_RAW | SOCK_CLOEXEC, CAN_RAW);
  if (descriptor < 0) return Status::FromErrno(errno, interface + ": open a socket for sending");
  auto sender = std::make_unique<CanSender>(interface, descriptor);  // closes it from here on
  // No filter at all: nothing is received.
  if (::setsockopt(descriptor, SOL_CAN_RAW, CAN_RAW_FILTER, nullptr, 0) != 0) {
    return Status::FromErrno(errno, interface + ": receive nothing on the sending socket");
  }
  sockaddr_can address{};
  address.can_family = AF_CAN;
  address.can_ifindex = static_cast<int>(::if_nametoindex(interface.c_str()));
  if (address.can_ifindex == 0) return Status::FromErrno(errno, interface);
  if (::bind(descriptor, reinterpret_cast<const sockaddr*>(&address), sizeof(address)) != 0) {
    return Status::FromErrno(errno, interface + ": bind the sending socket");
  }
  return std::unique_ptr<FrameSender>(std::move(sender));
}

}  // namespace proofdrive::daemon
