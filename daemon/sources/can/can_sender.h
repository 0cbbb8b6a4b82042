// Sends on a CAN interface of this machine. An object of its own, apart from everything that
// listens, made only when requests are allowed.
#pragma once

#include <memory>
#include <string>

#include "daemon/sources/can/frame_sender.h"

namespace proofdrive::daemon {

// Opens a socket for sending on `interface` with the first frame, and again after the interface was
// away; it receives nothing.
std::unique_ptr<FrameSender> MakeCanSender(const std::string& interface);

}  // namespace proofdrive::daemon
