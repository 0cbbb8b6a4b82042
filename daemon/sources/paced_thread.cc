#include "daemon/sources/paced_thread.h"

#include <utility>

namespace proofdrive::daemon {

void PacedThread::Start(std::function<void()> work) {
  begun_ = std::chrono::steady_clock::now();
  thread_ = std::thread([this, run = std::move(work)] {
    run();
    if (!stop_.asked()) finished_ = true;
  });
}

void PacedThread::Stop() {
  stop_.Ask();
  if (thread_.joinable()) thread_.join();
}

bool PacedThread::WaitFor(Duration elapsed) const {
  if (speed_ == 0) return !stop_.asked();
  const auto due = begun_ + FromSeconds(ToSeconds(elapsed) / speed_);
  const auto wait = due - std::chrono::steady_clock::now();
  if (wait <= Duration(0)) return !stop_.asked();
  return !stop_.WaitFor(wait);
}

}  // namespace proofdrive::daemon
