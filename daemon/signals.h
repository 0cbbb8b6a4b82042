// SIGTERM and SIGINT become a stop flag.
#pragma once

#include <atomic>
#include <thread>

#include "daemon/stop_flag.h"

namespace proofdrive::daemon {

// Blocks both signals in the calling thread, and so in every thread it starts later, and waits for
// them on a thread of its own. Create it first in main, before any other thread.
class SignalWatcher {
 public:
  explicit SignalWatcher(StopFlag& stop);
  ~SignalWatcher();
  SignalWatcher(const SignalWatcher&) = delete;
  SignalWatcher& operator=(const SignalWatcher&) = delete;

 private:
  void Watch(StopFlag& stop);

  std::atomic<bool> done_{false};
  std::thread thread_;
};

}  // namespace proofdrive::daemon
