// Looks after the folder of the sessions beside the recording: what lies in that folder, or a disk
// that is slow, must never keep the writing thread waiting.
#pragma once

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "daemon/recording/retention.h"

namespace proofdrive::daemon {

// Called from one thread. Everything given must outlive the object; with a thread of its own
// `files`, `log` and `counters` are used by both threads.
class Upkeep {
 public:
  // `aside`: on a thread of its own. Else every call does its work before it returns.
  Upkeep(Files& files, Log& log, Counters& counters, std::string directory,
         std::optional<std::uint64_t> budget, bool aside);
  // Waits for the file that is being looked at, not for the rest.
  ~Upkeep();

  // As Retention, in this order, as soon as possible. A second Apply that comes before the first
  // began is done in its place.
  void Note(const std::string& path, const session::Header& header);
  void Apply(const std::string& recording, std::uint64_t wanted_free);
  // Until all that was asked is done, but no longer than `most`. False: it is not.
  bool Wait(Duration most);

  // As of the last Apply that is done.
  SpaceInfo info() const;

 private:
  struct Goal {
    std::string recording;
    std::uint64_t wanted_free = 0;
  };

  void Put();
  bool TakeAndDo();
  void Run();

  const bool aside_;
  Retention retention_;  // on the thread that works

  mutable std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<std::function<void()>> notes_;
  std::optional<Goal> goal_;
  bool busy_ = false;
  bool ends_ = false;
  SpaceInfo info_;
  std::thread thread_;
};

}  // namespace proofdrive::daemon
