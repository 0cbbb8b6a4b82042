// SIGTERM and SIGINT become a stop flag. So does SIGHUP when somebody is at a terminal, which is
// then gone; a daemon without one takes no notice of it.
#pragma once

#include <atomic>
#include <thread>

#include "daemon/process/stop_flag.h"

namespace proofdrive::daemon {

// Blocks these signals in the calling thread, and so in every thread it starts later, and waits for
// them on a thread of its own. Create it first in main, before any other thread.
class SignalWatcher {
 public:
  SignalWatcher(StopFlag& stop, bool hangup_ends);
  ~SignalWatcher();
  SignalWatcher(const SignalWatcher&) = delete;
  SignalWatcher& operator=(const SignalWatcher&) = delete;

 private:
  void Watch(StopFlag& stop);

  const bool hangup_ends_;

  std::atomic<bool> done_{false};
  std::thread thread_;
};

}  // namespace proofdrive::daemon
