#include "daemon/process/stop_flag.h"

namespace proofdrive::daemon {

void StopFlag::Ask() {
  {
    const std::lock_guard lock(mutex_);
    asked_ = true;
  }
  changed_.notify_all();
}

bool StopFlag::asked() const {
  const std::lock_guard lock(mutex_);
  return asked_;
}

bool StopFlag::WaitFor(Duration timeout) const {
  std::unique_lock lock(mutex_);
  return changed_.wait_for(lock, timeout, [this] { return asked_; });
}

}  // namespace proofdrive::daemon
