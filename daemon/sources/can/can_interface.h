// One CAN interface of this machine: its raw socket, opened for listening.
#pragma once

#include <memory>
#include <string>

#include "daemon/sources/can/can_link.h"
#include "daemon/sources/can/frame_receiver.h"

namespace proofdrive::daemon {

// What Open gives.
struct OpenedPort {
  std::unique_ptr<FramePort> port;
  int receive_buffer = 0;  // bytes the kernel holds for us at most, as read back after asking
  std::string timestamps = "kernel";  // or "hardware", see session::Channel
};

// Frames that the receive buffer must hold so that a stall of 0.5 s loses none on the busiest
// classic bus: 47 bits at least at 1 Mbit/s are 21,277 frames/s (ISO 11898-1).
inline constexpr int kFramesInStall = 10'639;
// What one waiting frame costs of the buffer: struct sk_buff and its data, as the kernel accounts
// for them (sk_buff::truesize on a 64-bit machine).
inline constexpr int kBytesPerFrame = 768;
inline constexpr int kReceiveBufferNeeded = kFramesInStall * kBytesPerFrame;

// "can0: the kernel grants only ..." with the sysctl command; empty when the buffer is large
// enough.
std::string ReceiveBufferAdvice(const std::string& interface, int receive_buffer);

// The seam between the source and the machine, so that tests can pull the plug.
class CanInterface {
 public:
  virtual ~CanInterface() = default;
  // A port that receives everything the interface hears: all identifiers, CAN FD, the controller's
  // error messages, stamps and drop counts. The status is a sentence for the user.
  virtual Result<OpenedPort> Open(const LinkInfo& link) = 0;
  // The interface of the name it was made with, or of an index. kNotFound while there is none.
  virtual Result<LinkInfo> Query() = 0;
  virtual Result<LinkInfo> Query(int index) = 0;
};

std::unique_ptr<CanInterface> MakeCanInterface(std::string name, std::uint8_t channel,
                                               const Clock& clock);

// Whether an interface can be listened to now; else what is wrong and the command that mends it.
Status CheckLink(const std::string& name, const Result<LinkInfo>& link);

// Whether this kernel has CAN sockets and lets us open one; `name` of the interface for the
// sentence.
Status CheckCanSockets(const std::string& name);

// What to say when socket(2) or bind(2) for CAN fails with this errno.
Status SocketError(const std::string& name, int error);

}  // namespace proofdrive::daemon
