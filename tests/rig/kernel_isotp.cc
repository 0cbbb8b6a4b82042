#include "tests/rig/kernel_isotp.h"

#include <linux/can.h>
#include <linux/can/isotp.h>
#include <net/if.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>

namespace proofdrive::rig {
namespace {

template <class Value>
bool Set(int descriptor, int option, const Value& value) {
  return setsockopt(descriptor, SOL_CAN_ISOTP, option, &value, sizeof value) == 0;
}

bool SetUp(int descriptor, const IsotpSettings& settings) {
  can_isotp_options options{};
  if (settings.padding) {
    options.flags |= CAN_ISOTP_TX_PADDING | CAN_ISOTP_RX_PADDING | CAN_ISOTP_CHK_PAD_DATA;
    options.txpad_content = options.rxpad_content = 0xCC;
  }
  if (settings.address_byte) {
    options.flags |= CAN_ISOTP_EXTEND_ADDR | CAN_ISOTP_RX_EXT_ADDR;
    options.ext_address = settings.sent_address;
    options.rx_ext_address = settings.received_address;
  }
  const can_isotp_fc_options flow{settings.block_size, settings.separation, 0};
  const bool flexible = settings.frame_bytes > CAN_MAX_DLEN;
  const can_isotp_ll_options link{static_cast<__u8>(flexible ? CANFD_MTU : CAN_MTU),
                                  settings.frame_bytes, 0};
  return Set(descriptor, CAN_ISOTP_OPTS, options) && Set(descriptor, CAN_ISOTP_RECV_FC, flow) &&
         Set(descriptor, CAN_ISOTP_LL_OPTS, link);
}

}  // namespace

KernelIsotp::~KernelIsotp() {
  if (descriptor_ >= 0) close(descriptor_);
}

Status KernelIsotp::Open(const std::string& interface, const IsotpSettings& settings) {
  descriptor_ = socket(PF_CAN, SOCK_DGRAM | SOCK_CLOEXEC, CAN_ISOTP);
  if (descriptor_ < 0) return Status::FromErrno(errno, "open a can-isotp socket");
  if (!SetUp(descriptor_, settings)) {
    return Status::FromErrno(errno, "set up the can-isotp socket");
  }
  const std::uint32_t flag = settings.extended_id ? CAN_EFF_FLAG : 0;
  sockaddr_can address{};
  address.can_family = AF_CAN;
  address.can_ifindex = static_cast<int>(if_nametoindex(interface.c_str()));
  address.can_addr.tp.tx_id = settings.sends | flag;
  address.can_addr.tp.rx_id = settings.receives | flag;
  if (bind(descriptor_, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0) {
    return Status::Ok();
  }
  return Status::FromErrno(errno, "bind the can-isotp socket to " + interface);
}

Status KernelIsotp::Write(const std::vector<std::uint8_t>& message) {
  const ssize_t written = write(descriptor_, message.data(), message.size());
  if (written == static_cast<ssize_t>(message.size())) return Status::Ok();
  return Status::FromErrno(errno, "the kernel's write");
}

Result<std::vector<std::uint8_t>> KernelIsotp::Read(int timeout_ms) {
  pollfd waiting{descriptor_, POLLIN, 0};
  if (poll(&waiting, 1, timeout_ms) <= 0) {
    return Status(ErrorKind::kUnavailable, "the kernel received nothing");
  }
  std::vector<std::uint8_t> message(100'000);
  const ssize_t size = read(descriptor_, message.data(), message.size());
  if (size < 0) return Status::FromErrno(errno, "the kernel's read");
  message.resize(static_cast<std::size_t>(size));
  return message;
}

}  // namespace proofdrive::rig
