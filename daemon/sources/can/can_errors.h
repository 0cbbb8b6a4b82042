// Error messages of a CAN controller (linux/can/error.h) as events of a session.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "core/frame/frame.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

// State changes ("bus-off", "restarted", "error warning", "error passive", "error active") as
// kChannelState, each with the error counters, when the driver tells them, as kErrorCounters.
// Nothing for messages that tell of single faults: see FaultsOf.
// REQUIRES: frame.Is(kErrorMessage).
std::vector<session::Event> EventsOf(const Frame& frame);

// What an error message can tell of besides the state: a single thing that went wrong.
enum class BusFault : std::uint8_t {
  kLostArbitration,
  kNoAcknowledge,
  kProtocol,         // bit, form, stuff or check error
  kTransceiver,      // wires
  kTransmitTimeout,  // of the driver
  kOverflow,         // the controller's receive queue: frames are lost
};
inline constexpr std::size_t kBusFaultCount = 6;
using FaultCounts = std::array<std::uint64_t, kBusFaultCount>;

// "lost arbitration", "no acknowledge", "protocol error", ...
std::string_view BusFaultName(BusFault fault);

struct FaultReport {
  BusFault fault = BusFault::kProtocol;
  std::string text;  // "lost arbitration at bit 5", "stuff error in the data field"
};

// Every single fault of one message, each kind at most once. REQUIRES: frame.Is(kErrorMessage).
std::vector<FaultReport> FaultsOf(const Frame& frame);

}  // namespace proofdrive::daemon
