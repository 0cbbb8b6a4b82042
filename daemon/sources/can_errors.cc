#include "daemon/sources/can_errors.h"

#include <linux/can/error.h>

#include <string>

namespace proofdrive::daemon {
namespace {

// Class bit of newer kernels: data bytes 6 and 7 hold the counters. Older headers lack the name.
constexpr std::uint32_t kCountersValid = 0x200;

std::string StateOf(const Frame& frame) {
  if (frame.id & CAN_ERR_BUSOFF) return "bus-off";
  if (frame.id & CAN_ERR_RESTARTED) return "restarted";
  if ((frame.id & CAN_ERR_CRTL) == 0) return {};
  const std::uint8_t bits = frame.data[1];
  if (bits & (CAN_ERR_CRTL_RX_PASSIVE | CAN_ERR_CRTL_TX_PASSIVE)) return "error passive";
  if (bits & (CAN_ERR_CRTL_RX_WARNING | CAN_ERR_CRTL_TX_WARNING)) return "error warning";
  if (bits & CAN_ERR_CRTL_ACTIVE) return "error active";
  if (bits & CAN_ERR_CRTL_RX_OVERFLOW) return "receive queue of the controller overflowed";
  return {};
}

}  // namespace

std::vector<session::Event> EventsOf(const Frame& frame) {
  std::vector<session::Event> events;
  session::Event event;
  event.time = frame.time;
  event.channel = frame.channel;
  event.kind = session::EventKind::kChannelState;
  event.text = StateOf(frame);
  if (event.text.empty()) return events;
  events.push_back(event);
  if (frame.id & kCountersValid) {
    event.kind = session::EventKind::kErrorCounters;
    event.text = "tx " + std::to_string(frame.data[6]) + " rx " + std::to_string(frame.data[7]);
    events.push_back(event);
  }
  return events;
}

}  // namespace proofdrive::daemon
