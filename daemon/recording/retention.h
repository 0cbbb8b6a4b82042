// Keeps the folder of the sessions within its budget by deleting the oldest recordings. Never
// deleted: what is pinned, what is being recorded, what this program has not recorded, and what
// cannot be read.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/counters.h"
#include "core/base/files.h"
#include "core/base/log.h"

namespace proofdrive::daemon {

// For the status.
struct SpaceInfo {
  std::uint64_t free = 0;               // bytes on the disk of the sessions
  std::uint64_t used = 0;               // bytes of all sessions; only with a budget
  std::optional<std::uint64_t> budget;  // bytes
  bool over_budget = false;             // and nothing is left that may be deleted
  std::vector<std::string> deleted;     // names, the last ones
};

// One thread. Everything given must outlive the object.
class Retention {
 public:
  static constexpr std::size_t kDeletedShown = 20;

  Retention(Files& files, Log& log, Counters& counters, std::string directory,
            std::optional<std::uint64_t> budget);

  // Without a budget only looks at the disk. With one, deletes until all sessions take no more and
  // at least `wanted_free` bytes are free. `recording`: path of the first part of the one under
  // way; empty: none.
  void Apply(const std::string& recording, std::uint64_t wanted_free);

  const SpaceInfo& info() const { return info_; }

 private:
  struct Stored;

  std::vector<Stored> Look();
  bool MayDelete(Stored& stored, const std::string& recording);
  bool Delete(const Stored& stored);
  void SayOverBudget(bool over);

  Files& files_;
  Log& log_;
  Counters& counters_;
  const std::string directory_;
  SpaceInfo info_;
};

}  // namespace proofdrive::daemon
