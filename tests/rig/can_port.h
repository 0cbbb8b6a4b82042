// A raw CAN socket of the rig, written apart from the daemon's so that one checks the other.
#pragma once

#include <string>

#include "core/base/result.h"
#include "core/frame/frame.h"

namespace proofdrive::rig {

// One thread. Not copyable.
class CanPort {
 public:
  CanPort() = default;
  CanPort(const CanPort&) = delete;
  CanPort& operator=(const CanPort&) = delete;
  ~CanPort();

  Status Open(const std::string& interface);
  // Waits while the send queue of the interface is full, at most 10 s.
  Status Send(const Frame& frame);
  // The next frame with the kernel's receive time, channel 0. kUnavailable: none came within
  // `timeout_ms`, or a signal arrived.
  Result<Frame> Receive(int timeout_ms);
  // Frames the kernel dropped because this socket was read too slowly.
  std::uint32_t dropped() const { return dropped_; }

 private:
  int descriptor_ = -1;
  std::uint32_t dropped_ = 0;
};

WallTime Now();

}  // namespace proofdrive::rig
