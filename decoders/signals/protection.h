// Counters and checksums of frames: does what arrived belong together, and is one missing?
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "core/frame/frame.h"
#include "decoders/signals/plan.h"

namespace proofdrive::decoders {

// False when the checksum differs, or when the frame is too short to hold it and what it covers.
bool ChecksumHolds(const ChecksumStep& step, const Plan& plan, const Frame& frame);

// The counter of one kind of frame, on every channel it comes in on.
class CounterWatch {
 public:
  // False when the frame's counter is not the successor of the last one on this channel. The first
  // one, and the first one after Forget, always is; a value beyond the last one never is.
  bool Follows(const CounterStep& step, const Plan& plan, const Frame& frame);
  // A frame whose checksum failed: its counter cannot be trusted.
  void Forget(const Frame& frame);

 private:
  struct Last {
    std::uint8_t channel = 0;
    std::uint32_t id = 0;  // differs when the definition has a mask
    std::optional<std::uint64_t> value;
  };
  Last& LastOf(const Frame& frame);
  std::vector<Last> last_;  // few: one per channel and identifier
};

}  // namespace proofdrive::decoders
