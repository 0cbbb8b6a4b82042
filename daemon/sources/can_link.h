// What the kernel says about a network interface, asked by rtnetlink(7). Questions go to the kernel
// over a netlink socket of their own; a CAN socket is not involved.
#pragma once

#include <cstdint>
#include <string>

#include "core/base/bytes.h"
#include "core/base/result.h"

namespace proofdrive::daemon {

struct LinkInfo {
  int index = 0;
  bool is_can = false;             // ARPHRD_CAN
  bool up = false;                 // IFF_UP: set up by somebody
  bool running = false;            // IFF_LOWER_UP: carrier; off while bus-off
  bool flexible_data = false;      // its MTU takes CAN FD frames
  std::string kind;                // "can" for hardware, "vcan", "vxcan"; empty when not told
  bool has_controller = false;     // the driver told its control modes
  bool listen_only = false;        // CAN_CTRLMODE_LISTENONLY
  std::uint32_t bitrate = 0;       // bit/s, 0 = not told
  std::uint32_t data_bitrate = 0;  // bit/s of the FD data phase, 0 = none or not told
};

// kNotFound when there is no interface of that name.
Result<LinkInfo> QueryLink(const std::string& interface);

// The answer (RTM_NEWLINK or an error message) as it came from the kernel. kNotFound as above;
// kCorrupt when it is neither.
Result<LinkInfo> ParseLinkAnswer(ByteSpan answer);

// "can0 is not listen-only..." with the commands that change it; empty when there is nothing to
// say.
std::string ListenOnlyAdvice(const std::string& interface, const LinkInfo& link);

}  // namespace proofdrive::daemon
