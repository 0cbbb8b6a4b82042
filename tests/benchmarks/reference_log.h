// A synthetic log for size and speed figures: made from a seed, always the same.
//
// 80 identifiers on one 500 kbit/s bus, periods 10 to 1000 ms with clock drift (50 ppm) and release
// jitter (20 to 150 us), arbitration by identifier, times in whole microseconds, about 2,460 frames
// a second. Payloads mix slow physical values, big-endian in half of the frames' identifiers and
// little-endian in the others, with noise, flags and constants; 47 % of the frames carry a counter
// and an 8-bit checksum. Everything is invented.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "core/frame/frame.h"

namespace proofdrive::benchmarks {

class ReferenceLog {
 public:
  explicit ReferenceLog(std::uint64_t seed);
  ~ReferenceLog();
  // The next frames, each later than the one before.
  std::vector<Frame> Next(std::size_t count);

 private:
  class Bus;
  std::unique_ptr<Bus> bus_;
};

}  // namespace proofdrive::benchmarks
