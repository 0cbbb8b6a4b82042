// How busy each bus is, counted frame by frame.
#pragma once

#include <array>
#include <cstdint>

#include "core/frame/frame.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

// One thread.
class LoadMeter {
 public:
  // REQUIRES: not an error message.
  void Count(const Frame& frame);

  struct Load {
    double frames_per_s = 0;
    // Part of the time the bus was busy (0..1), without stuff bits and with as many as there can be
    // (ISO 11898-1). Both 0 when the channel's bit rate is not known.
    double least = 0;
    double most = 0;
  };
  // Of the frames counted since the last call for this channel, `elapsed` ago. REQUIRES:
  // elapsed > 0.
  Load Take(const session::Channel& channel, Duration elapsed);

 private:
  struct Sums {
    std::uint64_t frames = 0;
    // Bits at the nominal bit rate, and in the data phase of FD frames.
    std::uint64_t nominal_least = 0;
    std::uint64_t nominal_most = 0;
    std::uint64_t data_least = 0;
    std::uint64_t data_most = 0;
  };
  std::array<Sums, 256> sums_{};  // by channel number
};

}  // namespace proofdrive::daemon
