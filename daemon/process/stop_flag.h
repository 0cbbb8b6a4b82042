// Asks the daemon to end, and wakes whoever waits for that.
#pragma once

#include <condition_variable>
#include <mutex>

#include "core/base/time.h"

namespace proofdrive::daemon {

// Thread-safe. Once asked it stays asked.
class StopFlag {
 public:
  void Ask();
  bool asked() const;
  // True when asked, at the latest after `timeout`.
  bool WaitFor(Duration timeout) const;

 private:
  mutable std::mutex mutex_;
  mutable std::condition_variable changed_;
  bool asked_ = false;
};

}  // namespace proofdrive::daemon
