// A "CAN interface" whose frames the test writes itself, into one end of a socket pair; the frames
// take the daemon's whole way from recvmmsg on.
#pragma once

#include "daemon/sources/can/can_interface.h"

namespace proofdrive::testing {

class PairInterface : public daemon::CanInterface {
 public:
  // Takes over `end`, a SOCK_SEQPACKET or datagram socket. Opens once.
  explicit PairInterface(int end, std::uint8_t channel = 0) : end_(end), channel_(channel) {}
  Result<daemon::OpenedPort> Open(const daemon::LinkInfo&) override {
    return daemon::OpenedPort{daemon::MakeFrameReceiver(end_, channel_, clock_),
                              daemon::kReceiveBufferNeeded, "kernel"};
  }
  Result<daemon::LinkInfo> Query() override {
    daemon::LinkInfo link;
    link.is_can = true;
    link.up = true;
    return link;
  }
  Result<daemon::LinkInfo> Query(int) override { return Query(); }

 private:
  const int end_;
  const std::uint8_t channel_;
  const SystemClock clock_;
};

}  // namespace proofdrive::testing
