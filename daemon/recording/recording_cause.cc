#include "daemon/recording/recording_cause.h"

namespace proofdrive::daemon {

void RecordingCause::Note(Duration now, bool frames, std::size_t warnings_on) {
  if (waits_for_end_ && !Lasts(now)) waits_for_end_ = false;
  warnings_on_ = warnings_on;
  const bool there = policy_.when == RecordWhen::kTraffic ? frames : warnings_on > 0;
  if (there) last_ = now;
}

bool RecordingCause::Lasts(Duration now) const {
  if (policy_.when == RecordWhen::kStart) return true;
  if (policy_.when == RecordWhen::kWarning && warnings_on_ > 0) return true;
  return last_ && now - *last_ < policy_.end_after;
}

bool RecordingCause::WantsStart(Duration now) const {
  return Waits(now) && !(retry_at_ && now < *retry_at_);
}

bool RecordingCause::Waits(Duration now) const {
  return policy_.when != RecordWhen::kAsked && !waits_for_end_ && Lasts(now);
}

bool RecordingCause::WantsStop(Duration now) const { return begun_ && !Lasts(now); }

void RecordingCause::Ended(Duration now, bool by_itself) {
  begun_ = false;
  if (by_itself) {
    retry_at_ = Lasts(now) ? std::optional<Duration>(now + kRetry) : std::nullopt;
  } else {
    waits_for_end_ = true;
  }
}

}  // namespace proofdrive::daemon
