#include "daemon/process/posix_signals.h"

#include <pthread.h>
#include <signal.h>

namespace proofdrive::daemon {
namespace {

sigset_t StopSignals() {
  sigset_t set;
  sigemptyset(&set);
  sigaddset(&set, SIGTERM);
  sigaddset(&set, SIGINT);
  sigaddset(&set, SIGHUP);
  return set;
}

}  // namespace

SignalWatcher::SignalWatcher(StopFlag& stop, bool hangup_ends) : hangup_ends_(hangup_ends) {
  const sigset_t set = StopSignals();
  pthread_sigmask(SIG_BLOCK, &set, nullptr);
  signal(SIGPIPE, SIG_IGN);  // a client that hangs up is no reason to die
  signal(SIGXFSZ, SIG_IGN);  // nor is a file that may not grow: writing says so
  thread_ = std::thread([this, &stop] { Watch(stop); });
}

SignalWatcher::~SignalWatcher() {
  done_ = true;
  thread_.join();
}

void SignalWatcher::Watch(StopFlag& stop) {
  const sigset_t set = StopSignals();
  const timespec patience{0, 100'000'000};
  while (!done_) {
    const int signal = sigtimedwait(&set, nullptr, &patience);
    if (signal > 0 && (signal != SIGHUP || hangup_ends_)) stop.Ask();
  }
}

}  // namespace proofdrive::daemon
