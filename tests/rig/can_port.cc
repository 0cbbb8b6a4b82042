#include "tests/rig/can_port.h"

#include <linux/can.h>
#include <linux/can/error.h>
#include <linux/can/raw.h>
#include <net/if.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

namespace proofdrive::rig {
namespace {

Frame FromKernel(const canfd_frame& kernel, std::size_t size) {
  Frame frame;
  const bool extended = (kernel.can_id & CAN_EFF_FLAG) != 0;
  frame.id = kernel.can_id & (extended ? CAN_EFF_MASK : CAN_SFF_MASK);
  if (extended) frame.flags |= kExtendedId;
  if (kernel.can_id & CAN_RTR_FLAG) frame.flags |= kRemote;
  if (size == CANFD_MTU) {
    frame.flags |= kFlexibleData;
    if (kernel.flags & CANFD_BRS) frame.flags |= kBitRateSwitch;
    if (kernel.flags & CANFD_ESI) frame.flags |= kErrorState;
  }
  frame.length = kernel.len;
  std::memcpy(frame.data.data(), kernel.data, frame.Is(kRemote) ? 0 : kernel.len);
  return frame;
}

canfd_frame ToKernel(const Frame& frame) {
  canfd_frame kernel{};
  kernel.can_id = frame.id;
  if (frame.Is(kExtendedId)) kernel.can_id |= CAN_EFF_FLAG;
  if (frame.Is(kRemote)) kernel.can_id |= CAN_RTR_FLAG;
  if (frame.Is(kErrorMessage)) kernel.can_id |= CAN_ERR_FLAG;
  if (frame.Is(kBitRateSwitch)) kernel.flags |= CANFD_BRS;
  if (frame.Is(kErrorState)) kernel.flags |= CANFD_ESI;
  kernel.len = frame.length;
  std::memcpy(kernel.data, frame.data.data(), frame.payload().size());
  return kernel;
}

WallTime FromTimespec(const timespec& time) {
  return WallFromNanoseconds(std::int64_t{time.tv_sec} * 1'000'000'000 + time.tv_nsec);
}

}  // namespace

WallTime Now() {
  timespec time{};
  clock_gettime(CLOCK_REALTIME, &time);
  return FromTimespec(time);
}

CanPort::~CanPort() {
  if (descriptor_ >= 0) close(descriptor_);
}

Status CanPort::Open(const std::string& interface) {
  descriptor_ = socket(PF_CAN, SOCK_RAW | SOCK_CLOEXEC, CAN_RAW);
  if (descriptor_ < 0) return Status::FromErrno(errno, "open a CAN socket");
  const int on = 1;
  setsockopt(descriptor_, SOL_CAN_RAW, CAN_RAW_FD_FRAMES, &on, sizeof on);
  setsockopt(descriptor_, SOL_SOCKET, SO_TIMESTAMPNS, &on, sizeof on);
  setsockopt(descriptor_, SOL_SOCKET, SO_RXQ_OVFL, &on, sizeof on);
  sockaddr_can address{};
  address.can_family = AF_CAN;
  address.can_ifindex = static_cast<int>(if_nametoindex(interface.c_str()));
  if (address.can_ifindex == 0) return Status::FromErrno(errno, interface);
  if (bind(descriptor_, reinterpret_cast<const sockaddr*>(&address), sizeof address) != 0) {
    return Status::FromErrno(errno, "bind to " + interface);
  }
  return Status::Ok();
}

Status CanPort::Send(const Frame& frame) {
  const canfd_frame kernel = ToKernel(frame);
  const std::size_t size = frame.Is(kFlexibleData) ? CANFD_MTU : CAN_MTU;
  for (int attempt = 0; attempt < 20'000; ++attempt) {
    if (write(descriptor_, &kernel, size) == static_cast<ssize_t>(size)) return Status::Ok();
    if (errno != ENOBUFS && errno != EINTR) return Status::FromErrno(errno, "send a frame");
    usleep(500);  // poll() does not wait for room in an interface's queue, only in the socket's
  }
  return {ErrorKind::kUnavailable, "the send queue stayed full for 10 s"};
}

Result<Frame> CanPort::Receive(int timeout_ms) {
  pollfd waiting{descriptor_, POLLIN, 0};
  if (poll(&waiting, 1, timeout_ms) <= 0) return Status(ErrorKind::kUnavailable, "no frame came");
  canfd_frame kernel{};
  iovec part{&kernel, sizeof kernel};
  alignas(cmsghdr) char control[256];
  msghdr message{};
  message.msg_iov = &part;
  message.msg_iovlen = 1;
  message.msg_control = control;
  message.msg_controllen = sizeof control;
  const ssize_t size = recvmsg(descriptor_, &message, 0);
  if (size < 0) return Status::FromErrno(errno, "receive a frame");
  Frame frame = FromKernel(kernel, static_cast<std::size_t>(size));
  for (cmsghdr* c = CMSG_FIRSTHDR(&message); c; c = CMSG_NXTHDR(&message, c)) {
    if (c->cmsg_level != SOL_SOCKET) continue;
    if (c->cmsg_type == SO_RXQ_OVFL) std::memcpy(&dropped_, CMSG_DATA(c), sizeof dropped_);
    if (c->cmsg_type == SO_TIMESTAMPNS) {
      timespec time{};
      std::memcpy(&time, CMSG_DATA(c), sizeof time);
      frame.time = FromTimespec(time);
    }
  }
  return frame;
}

}  // namespace proofdrive::rig
