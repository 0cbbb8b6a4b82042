// The adapter's own clock brought to the wall clock of this machine.
#pragma once

#include <algorithm>
#include <chrono>

#include "core/base/time.h"

namespace proofdrive::daemon {

// An adapter that stamps frames counts from a start of its own and drifts; the kernel's stamp of
// the same frame has the right date but comes late, by as much as interrupt and transfer took. A
// frame cannot be stamped by the kernel before it was received, so the smallest difference of the
// two stamps is the offset between the clocks. It may grow by kLargestDrift, so that a drifting
// clock is followed and a single late frame changes nothing. One thread.
class HardwareClock {
 public:
  // Of the two clocks against each other; oscillators of adapters are within 100 ppm (common
  // practice, no source).
  static constexpr double kLargestDrift = 200e-6;
  // A larger difference is no delay: the wall clock was set, or the adapter started again.
  static constexpr Duration kLargestDelay = std::chrono::seconds(1);

  // Wall time of a frame that the adapter stamped `hardware` and the kernel `kernel`.
  WallTime Map(Duration hardware, WallTime kernel) {
    const Duration difference = kernel.time_since_epoch() - hardware;
    if (!known_ || std::chrono::abs(difference - offset_) > kLargestDelay) {
      known_ = true;
      offset_ = difference;
    } else {
      const Duration passed = std::max(Duration(0), hardware - last_);
      offset_ = std::min(difference, offset_ + FromSeconds(ToSeconds(passed) * kLargestDrift));
    }
    last_ = hardware;
    return WallTime(hardware + offset_);
  }

 private:
  bool known_ = false;
  Duration offset_{0};  // wall time = hardware time + offset
  Duration last_{0};
};

}  // namespace proofdrive::daemon
