#include "daemon/signals.h"

#include <pthread.h>
#include <signal.h>

namespace proofdrive::daemon {
namespace {

sigset_t StopSignals() {
  sigset_t set;
  sigemptyset(&set);
  sigaddset(&set, SIGTERM);
  sigaddset(&set, SIGINT);
  return set;
}

}  // namespace

SignalWatcher::SignalWatcher(StopFlag& stop) {
  const sigset_t set = StopSignals();
  pthread_sigmask(SIG_BLOCK, &set, nullptr);
  signal(SIGPIPE, SIG_IGN);  // a client that hangs up is no reason to die
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
    if (sigtimedwait(&set, nullptr, &patience) > 0) stop.Ask();
  }
}

}  // namespace proofdrive::daemon
