#include "daemon/recording/lead_in.h"

namespace proofdrive::daemon {

void LeadIn::Add(std::span<const Frame> frames) {
  if (length_ == Duration(0) || frames.empty()) return;
  if (frames.size() > kMostFrames) frames = frames.last(kMostFrames);
  frames_.insert(frames_.end(), frames.begin(), frames.end());
  Trim(frames.back().time);
}

void LeadIn::AddEvent(const session::Event& event) {
  if (length_ == Duration(0)) return;
  events_.push_back(event);
  if (events_.size() > kMostEvents) events_.pop_front();
}

void LeadIn::Clear() {
  frames_.clear();
  events_.clear();
}

// By the times of the frames, which may step backward: then more is kept, up to the limit.
void LeadIn::Trim(WallTime at) {
  const WallTime before = at - length_;
  while (!frames_.empty() && (frames_.front().time < before || frames_.size() > kMostFrames)) {
    frames_.pop_front();
  }
  while (!events_.empty() && events_.front().time < before) events_.pop_front();
}

}  // namespace proofdrive::daemon
