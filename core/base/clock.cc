#include "core/base/clock.h"

namespace proofdrive {

ClockPair SystemClock::Now() const {
  return {std::chrono::time_point_cast<Duration>(std::chrono::system_clock::now()),
          std::chrono::time_point_cast<Duration>(std::chrono::steady_clock::now())};
}

}  // namespace proofdrive
