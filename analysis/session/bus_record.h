// What one channel carried: frames, load, the longest silence, errors the adapter reported.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "core/frame/frame.h"
#include "session/model/header.h"

namespace proofdrive::analysis {

struct BusRecord {
  std::uint8_t channel = 0;
  std::uint64_t frames = 0;          // of the bus; error messages are not among them
  std::uint64_t error_messages = 0;  // of the controller
  std::uint64_t bits = 0;            // on the wire, without stuff bits: the least it can have been
  Duration first{0};                 // session time of the first and last frame
  Duration last{0};
  Duration longest_silence{0};     // between two frames
  Duration silence_at{0};          // where it began
  std::uint32_t bitrate = 0;       // bit/s; 0 = not known
  std::uint64_t busiest_bits = 0;  // of the busiest whole second

  // Share of the bit rate in use, 0..1, over the time from the first to the last frame and in the
  // busiest second; at least that much, as stuff bits are not counted. 0 when not known.
  double Load() const;
  double PeakLoad() const;
};

class BusRecorder {
 public:
  // `at`: session time, not decreasing.
  void Add(const Frame& frame, Duration at);
  // Channels that carried something, or are named in the header; sorted by number.
  std::vector<BusRecord> Finish(const session::Header& header) const;

 private:
  struct State {
    BusRecord record;
    bool used = false;
    Duration second_end{0};  // of the whole second that second_bits counts
    std::uint64_t second_bits = 0;
  };
  std::vector<State> states_ = std::vector<State>(256);
};

}  // namespace proofdrive::analysis
