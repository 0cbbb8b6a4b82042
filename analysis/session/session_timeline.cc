#include "analysis/session/session_timeline.h"

#include <algorithm>

namespace proofdrive::analysis {

Duration SessionTimeline::Place(const Frame& frame) {
  if (!started_) {
    started_ = true;
    start_ = frame.time;
  }
  ChannelClock& clock = channels_[frame.channel];
  if (!clock.last) {
    clock.shift = latest_shift_;
  } else if (frame.time < *clock.last - kJitter) {
    const Duration step = frame.time - *clock.last;
    clock.shift -= step;
    latest_shift_ = clock.shift;
    steps_.push_back({frame.channel, now_, step});
  }
  clock.last = frame.time;
  now_ = std::max(now_, frame.time - start_ + clock.shift);
  return now_;
}

}  // namespace proofdrive::analysis
