// Session time: one clock that never goes backward, made from the times of frames that may.
//
// The first frame is at zero. Within a channel the order of arrival is the order of time, so a
// frame that is older than the one before it on its channel means that the clock was set back
// there: from then on the channel's times are shifted so that the step takes no time at all. A
// channel that starts after a step takes over the latest shift. Across channels frames may arrive
// late by some tens of milliseconds: such a frame counts as if it came with the latest frame before
// it.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "core/frame/frame.h"

namespace proofdrive::analysis {

// The clock of a channel was set back while recording.
struct ClockStep {
  std::uint8_t channel = 0;
  Duration at{0};    // session time
  Duration step{0};  // negative
};

class SessionTimeline {
 public:
  // Backward differences up to this size within a channel are jitter of timestamps, not a step.
  static constexpr Duration kJitter = std::chrono::milliseconds(5);

  // Session time of the next frame in order of arrival; never less than the result before.
  Duration Place(const Frame& frame);

  // What makes up for the steps of the channel's clock so far: Place gives the frame's time since
  // start() plus this, or the time of a later frame of another channel that came before it.
  Duration shift(std::uint8_t channel) const { return channels_[channel].shift; }

  // Time of the first frame.
  WallTime start() const { return start_; }
  Duration now() const { return now_; }
  const std::vector<ClockStep>& steps() const { return steps_; }

 private:
  struct ChannelClock {
    std::optional<WallTime> last;
    Duration shift{0};
  };

  bool started_ = false;
  WallTime start_;
  Duration now_{0};
  Duration latest_shift_{0};
  std::array<ChannelClock, 256> channels_;
  std::vector<ClockStep> steps_;
};

}  // namespace proofdrive::analysis
