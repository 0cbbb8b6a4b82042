// One CAN interface of this machine: its raw socket, opened for listening.
#pragma once

#include <memory>
#include <string>

#include "daemon/sources/can_link.h"
#include "daemon/sources/frame_receiver.h"

namespace proofdrive::daemon {

// The seam between the source and the machine, so that tests can pull the plug.
class CanInterface {
 public:
  virtual ~CanInterface() = default;
  // A port that receives everything the interface hears: all identifiers, CAN FD, the controller's
  // error messages, kernel stamps and drop counts. The status is a sentence for the user.
  virtual Result<std::unique_ptr<FramePort>> Open(const LinkInfo& link) = 0;
  // kNotFound while there is no such interface.
  virtual Result<LinkInfo> Query() = 0;
  // Bytes the kernel can hold for us, as read back after asking; 0 before Open.
  virtual int receive_buffer() const = 0;
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
