// Decides when a recording begins and ends by itself. Knows nothing of files: it is told what comes
// and what the time is.
#pragma once

#include <cstddef>
#include <optional>

#include "core/base/time.h"
#include "daemon/recording/recording_policy.h"

namespace proofdrive::daemon {

// One thread. Times are source time, which need not be that of any clock, and never go back.
class RecordingCause {
 public:
  // A recording that could not be begun is tried again after this long.
  static constexpr Duration kRetry = std::chrono::seconds(10);

  explicit RecordingCause(const RecordingPolicy& policy) : policy_(policy) {}

  // Frames came, and so many warnings are on now.
  void Note(Duration now, bool frames, std::size_t warnings_on);

  // Whether to begin. After a recording was ended by somebody or by its length, the cause must go
  // away before the next one begins.
  bool WantsStart(Duration now) const;
  // Whether a recording should be under way, be it that it can begin only later.
  bool Waits(Duration now) const;
  // Whether a recording that this began is over.
  bool WantsStop(Duration now) const;

  void Begun() { begun_ = true; }
  void NotBegun(Duration now) { retry_at_ = now + kRetry; }
  // `by_itself`: because WantsStop said so, or because something failed.
  void Ended(Duration now, bool by_itself);

 private:
  // The cause was there within the last `end_after`.
  bool Lasts(Duration now) const;

  const RecordingPolicy policy_;
  std::optional<Duration> last_;  // when the cause was there last
  std::size_t warnings_on_ = 0;
  bool begun_ = false;
  bool waits_for_end_ = false;  // of the cause
  std::optional<Duration> retry_at_;
};

}  // namespace proofdrive::daemon
