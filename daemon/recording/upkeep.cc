#include "daemon/recording/upkeep.h"

#include <utility>

namespace proofdrive::daemon {

Upkeep::Upkeep(Files& files, Log& log, Counters& counters, std::string directory,
               std::optional<std::uint64_t> budget, bool aside)
    : aside_(aside),
      retention_(files, log, counters, std::move(directory), budget),
      info_(retention_.info()) {
  if (aside_) thread_ = std::thread([this] { Run(); });
}

Upkeep::~Upkeep() {
  if (!aside_) return;
  {
    const std::lock_guard lock(mutex_);
    ends_ = true;
    goal_.reset();
  }
  changed_.notify_all();
  thread_.join();
}

void Upkeep::Note(const std::string& path, const session::Header& header) {
  session::Header of_session;  // only what is noted: the text of definition files may be large
  of_session.stage = header.stage;
  of_session.vehicle = header.vehicle;
  of_session.started = header.started;
  {
    const std::lock_guard lock(mutex_);
    notes_.push_back([this, path, of_session] { retention_.Note(path, of_session); });
  }
  Put();
}

void Upkeep::Apply(const std::string& recording, std::uint64_t wanted_free) {
  {
    const std::lock_guard lock(mutex_);
    goal_ = Goal{recording, wanted_free};
  }
  Put();
}

void Upkeep::Put() {
  if (aside_) {
    changed_.notify_all();
  } else {
    while (TakeAndDo()) {
    }
  }
}

bool Upkeep::Wait(Duration most) {
  std::unique_lock lock(mutex_);
  return changed_.wait_for(lock, most, [this] { return notes_.empty() && !goal_ && !busy_; });
}

SpaceInfo Upkeep::info() const {
  const std::lock_guard lock(mutex_);
  return info_;
}

// One thing; false when there is none.
bool Upkeep::TakeAndDo() {
  std::function<void()> work;
  {
    const std::lock_guard lock(mutex_);
    if (!notes_.empty()) {
      work = std::move(notes_.front());
      notes_.pop_front();
    } else if (goal_) {
      work = [this, goal = std::move(*goal_)] {
        retention_.Apply(goal.recording, goal.wanted_free);
      };
      goal_.reset();
    } else {
      return false;
    }
    busy_ = true;
  }
  work();
  {
    const std::lock_guard lock(mutex_);
    busy_ = false;
    info_ = retention_.info();
  }
  changed_.notify_all();
  return true;
}

// What was noted is still written down at the end.
void Upkeep::Run() {
  for (;;) {
    if (TakeAndDo()) continue;
    std::unique_lock lock(mutex_);
    if (ends_) return;
    changed_.wait(lock, [this] { return ends_ || !notes_.empty() || goal_; });
  }
}

}  // namespace proofdrive::daemon
