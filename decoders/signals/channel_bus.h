// Channels of a session and buses of definition files.
#pragma once

#include <cstdint>
#include <string>

namespace proofdrive::decoders {

// Which bus (name of the definition files) each channel of a session is.
struct ChannelBus {
  std::uint8_t channel = 0;
  std::string bus;  // empty: not stated; then frames of every bus may match
};

}  // namespace proofdrive::decoders
