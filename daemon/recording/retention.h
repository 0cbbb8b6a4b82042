// Keeps the recordings of a folder within their budget by deleting the oldest, and only if that
// reaches the goal. Never deleted: what this program has not recorded under that very name
// (recorded_list.h), what is pinned or being recorded, and the newest recording of each stage.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/counters.h"
#include "core/base/files.h"
#include "core/base/log.h"
#include "daemon/recording/recorded_list.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

// For the status.
struct SpaceInfo {
  std::uint64_t free = 0;               // bytes on the disk of the sessions
  std::uint64_t used = 0;               // bytes of the recorder's own; only with a budget
  std::optional<std::uint64_t> budget;  // bytes
  bool over_budget = false;             // and deleting what may be deleted would not help
  std::vector<std::string> deleted;     // names, the last ones
  std::string filled_by;                // what takes the room, when deleting would not make enough
};

// One thread. Everything given must outlive the object. Reads nothing of a file but the first bytes
// of sessions that are in the list.
class Retention {
 public:
  static constexpr std::size_t kDeletedShown = 20;

  Retention(Files& files, Log& log, Counters& counters, std::string directory,
            std::optional<std::uint64_t> budget);

  // The recorder has begun the session (or the part) at `path`.
  void Note(const std::string& path, const session::Header& header);

  // Without a budget only looks at the disk. With one, deletes until the recorder's own recordings
  // take no more and at least `wanted_free` bytes are free; of these two goals one that cannot be
  // reached is given up first. `recording`: path of the first part of the one under way; empty:
  // none.
  void Apply(const std::string& recording, std::uint64_t wanted_free);

  const SpaceInfo& info() const { return info_; }

 private:
  struct Stored;
  struct Folder;
  struct Goal;

  bool LookAtDisk();
  Folder Look();
  bool IsOwn(Stored& stored, const std::vector<RecordedSession>& list) const;
  bool MayDelete(const Stored& stored, const std::string& recording) const;
  std::vector<Stored> Candidates(const Folder& folder, const std::string& recording) const;
  Goal Choose(const Folder& folder, const std::vector<Stored>& candidates,
              std::uint64_t wanted_free);
  bool Delete(const Stored& stored);
  void SayOverBudget(bool over);
  void SayFull(const Folder& folder, bool full);

  Files& files_;
  Log& log_;
  Counters& counters_;
  const std::string directory_;
  RecordedList list_;
  SpaceInfo info_;
};

}  // namespace proofdrive::daemon
