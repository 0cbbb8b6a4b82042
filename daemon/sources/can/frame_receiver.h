// Takes CAN frames out of a descriptor in batches, with the kernel's stamps and drop counter.
//
// Works on a CAN_RAW socket and, for tests, on any datagram or sequenced-packet socket that carries
// struct can_frame and struct canfd_frame (linux/can.h). It only ever receives: nothing in this
// file can send.
#pragma once

#include <sys/socket.h>

#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "core/base/clock.h"
#include "core/base/result.h"
#include "core/frame/frame.h"

namespace proofdrive::daemon {

// What came with the frames of one call.
struct ReceiveReport {
  std::size_t frames = 0;          // appended
  std::uint64_t dropped = 0;       // by the kernel since the last report
  std::uint64_t malformed = 0;     // not appended: wrong size, or a frame that cannot exist
  std::uint64_t without_time = 0;  // appended with the time of this program instead of the kernel's
  bool more = false;               // the batch was full: the next call probably need not wait
};

// A descriptor that frames come out of; the seam between a source and the kernel.
class FramePort {
 public:
  virtual ~FramePort() = default;
  // Waits up to `timeout` for the first frame, then takes what is there (at most one batch).
  // kUnavailable: the interface is down, frames come again when it is up. kNotFound: it is gone,
  // this port will never deliver again.
  virtual Result<ReceiveReport> Receive(std::vector<Frame>& frames, Duration timeout) = 0;
};

// Owns and closes `descriptor`. `clock` must outlive the port.
std::unique_ptr<FramePort> MakeFrameReceiver(int descriptor, std::uint8_t channel,
                                             const Clock& clock);

// What the kernel sent along with one datagram.
struct Ancillary {
  std::optional<WallTime> time;          // of the kernel: SO_TIMESTAMPNS or SO_TIMESTAMPING
  std::optional<Duration> hardware;      // of the adapter, on its own clock: SO_TIMESTAMPING
  std::optional<std::uint32_t> dropped;  // SO_RXQ_OVFL: total since the socket was made, wraps
};
Ancillary ParseControl(msghdr& header);

// One datagram as a frame: 16 bytes are a struct can_frame, 72 a struct canfd_frame. kCorrupt for
// any other size and for frames that cannot exist. `message_flags` of recvmsg(2).
Result<Frame> ParseDatagram(ByteSpan bytes, int message_flags, std::uint8_t channel, WallTime time);

}  // namespace proofdrive::daemon
