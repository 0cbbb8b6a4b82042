// Notices when somebody sets the wall clock while recording.
#pragma once

#include <optional>

#include "core/base/clock.h"

namespace proofdrive::daemon {

// Compares clock pairs that are read about every second. Slow corrections (slewing, at most 0.5 ms
// per second by adjtimex, Linux) pass; a jump does not.
class ClockWatch {
 public:
  // Smaller jumps are within what reading two clocks on a busy machine can differ.
  static constexpr Duration kSmallestStep = std::chrono::milliseconds(50);

  explicit ClockWatch(ClockPair start) : last_(start) {}

  // How far the wall clock jumped since the last call; nullopt when it did not.
  std::optional<Duration> Check(ClockPair now) {
    const Duration step = (now.wall - last_.wall) - (now.steady - last_.steady);
    last_ = now;
    if (std::chrono::abs(step) < kSmallestStep) return std::nullopt;
    return step;
  }

 private:
  ClockPair last_;
};

}  // namespace proofdrive::daemon
