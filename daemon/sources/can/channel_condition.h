// How a channel's adapter is, besides the frames it delivers.
#pragma once

#include <array>
#include <cstdint>
#include <string>

#include "daemon/sources/can/can_errors.h"
#include "daemon/sources/can/link_info.h"

namespace proofdrive::daemon {

struct ChannelCondition {
  std::string state = "up";    // "up", "down", "gone", or what went wrong in words
  std::string bus_state;       // "error passive", "bus-off", ...; empty when never told
  LinkInfo link;               // as last read; the name may differ from the channel's
  int receive_buffer = 0;      // bytes the kernel holds for us; 0 = not opened yet
  std::string timestamps;      // session::Channel::timestamps
  FaultCounts faults{};        // since the daemon started, by BusFault
  std::uint64_t overruns = 0;  // frames the controller lost since the daemon started, at least

  bool up() const { return state == "up"; }
};

}  // namespace proofdrive::daemon
