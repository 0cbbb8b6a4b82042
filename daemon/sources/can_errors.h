// Error messages of a CAN controller (linux/can/error.h) as events of a session.
#pragma once

#include <vector>

#include "core/frame/frame.h"
#include "session/header.h"

namespace proofdrive::daemon {

// State changes ("bus-off", "restarted", "error warning", "error passive", "error active") as
// kChannelState, each with the error counters, when the driver tells them, as kErrorCounters.
// Nothing for messages that tell of single faults: those are stored as frames only.
// REQUIRES: frame.Is(kErrorMessage).
std::vector<session::Event> EventsOf(const Frame& frame);

}  // namespace proofdrive::daemon
