// The thread of a source that makes its frames itself and has a pace of its own.
#pragma once

#include <atomic>
#include <functional>
#include <thread>

#include "core/base/time.h"
#include "daemon/process/stop_flag.h"

namespace proofdrive::daemon {

// Runs a function once on a thread of its own. The function asks pace() when to go on.
class PacedThread {
 public:
  // `speed`: source time per real time; 0 = do not wait at all.
  explicit PacedThread(double speed) : speed_(speed) {}
  ~PacedThread() { Stop(); }
  PacedThread(const PacedThread&) = delete;
  PacedThread& operator=(const PacedThread&) = delete;

  // REQUIRES: not started before.
  void Start(std::function<void()> work);
  // Asks the function to end and waits for it. Safe to call twice.
  void Stop();
  // The function returned by itself. Any thread.
  bool finished() const { return finished_; }

  // Called by the function: returns when `elapsed` of source time is due, counted from Start.
  // False when it should end.
  bool WaitFor(Duration elapsed) const;

 private:
  const double speed_;
  std::chrono::steady_clock::time_point begun_;
  StopFlag stop_;
  std::atomic<bool> finished_{false};
  std::thread thread_;
};

}  // namespace proofdrive::daemon
