// What the kernel says about a network interface, as plain values.
#pragma once

#include <cstdint>
#include <string>

namespace proofdrive::daemon {

// Counts of a CAN driver since the interface came up (struct can_device_stats,
// linux/can/netlink.h); states count when they are entered from a better one.
struct ControllerCounts {
  std::uint32_t bus_errors = 0;
  std::uint32_t error_warning = 0;
  std::uint32_t error_passive = 0;
  std::uint32_t bus_off = 0;
  std::uint32_t lost_arbitration = 0;
  std::uint32_t restarts = 0;

  friend bool operator==(const ControllerCounts&, const ControllerCounts&) = default;
};

struct LinkInfo {
  int index = 0;
  std::string name;                // at present; interfaces can be renamed
  bool is_can = false;             // ARPHRD_CAN
  bool up = false;                 // IFF_UP: set up by somebody
  bool running = false;            // IFF_LOWER_UP: carrier; off while bus-off
  bool flexible_data = false;      // its MTU takes CAN FD frames
  std::string kind;                // "can" for hardware, "vcan", "vxcan"; empty when not told
  bool has_controller = false;     // the driver told its control modes
  bool listen_only = false;        // CAN_CTRLMODE_LISTENONLY
  std::string modes;               // control modes in words, "listen-only, CAN FD"; empty when none
  std::uint32_t bitrate = 0;       // bit/s, 0 = not told
  std::uint32_t data_bitrate = 0;  // bit/s of the FD data phase, 0 = none or not told
  std::uint32_t restart_ms = 0;    // automatic restart after bus-off; 0 = never

  // "error active", "error warning", "error passive", "bus-off", "stopped", "sleeping" (ISO 11898-1
  // fault confinement; enum can_state); empty when not told.
  std::string controller_state;
  bool has_error_counters = false;  // the next two were told
  std::uint16_t transmit_errors = 0;
  std::uint16_t receive_errors = 0;
  ControllerCounts counts;
  std::uint64_t overruns = 0;  // frames the controller lost because nobody fetched them in time
};

}  // namespace proofdrive::daemon
