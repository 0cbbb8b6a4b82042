#include "daemon/recording/retention.h"

#include <algorithm>
#include <limits>
#include <map>
#include <set>
#include <tuple>
#include <utility>

#include "core/base/text.h"
#include "session/model/names.h"
#include "session/model/parts.h"
#include "session/model/pin.h"

namespace proofdrive::daemon {

// All files of one recording.
struct Retention::Stored {
  std::string first;  // path of the first part
  std::uint64_t bytes = 0;
  std::vector<std::string> sessions;  // paths of the parts
  std::vector<std::string> others;    // journal, truth of a simulation
  bool regular = true;                // all of them are ordinary files
  WallTime started;
  std::string vehicle;
  std::string stage;  // "" = unspecified
};

struct Retention::Folder {
  std::vector<Stored> own;  // oldest first
  std::uint64_t foreign_bytes = 0;
  std::string largest;  // name of the largest foreign file
  std::uint64_t largest_bytes = 0;

  void AddForeign(const std::string& name, std::uint64_t bytes) {
    foreign_bytes += bytes;
    if (bytes <= largest_bytes) return;
    largest = name;
    largest_bytes = bytes;
  }
};

struct Retention::Goal {
  std::uint64_t most_used = std::numeric_limits<std::uint64_t>::max();
  std::uint64_t least_free = 0;
  bool Reached(const SpaceInfo& info) const {
    return info.used <= most_used && info.free >= least_free;
  }
};

Retention::Retention(Files& files, Log& log, Counters& counters, std::string directory,
                     std::optional<std::uint64_t> budget)
    : files_(files),
      log_(log),
      counters_(counters),
      directory_(std::move(directory)),
      list_(files, directory_) {
  info_.budget = budget;
}

void Retention::Note(const std::string& path, const session::Header& header) {
  RecordedSession session;
  session.stage = session::StageName(header.stage);
  session.vehicle = header.vehicle;
  session.started = header.started.wall;
  const Status added = list_.Add(path, std::move(session));
  if (added.ok()) return;
  log_.Warning(FileNameOf(path) +
               " could not be noted as a recording of this program and is never " +
               "deleted to keep a budget: " + added.message());
}

// --- the folder ---

// Looks at names and lengths, and into nothing that is not in the list.
Retention::Folder Retention::Look() {
  std::map<std::string, Stored> found;
  std::map<std::string, std::vector<std::pair<std::string, std::uint64_t>>> files_of;
  Folder folder;
  const auto names = files_.List(directory_);
  if (!names.ok()) return folder;
  for (const std::string& name : *names) {
    const std::string path = directory_ + "/" + name;
    const auto info = files_.Look(path);
    const std::uint64_t bytes = info.ok() && info->regular ? info->bytes : 0;
    const std::string session = session::SessionOfFile(name);
    if (session.empty()) {
      folder.AddForeign(name, bytes);
      continue;
    }
    const std::string first = session::FirstPartPath(directory_ + "/" + session);
    Stored& stored = found[first];
    stored.first = first;
    stored.bytes += bytes;
    stored.regular = stored.regular && info.ok() && info->regular;
    (session == name ? stored.sessions : stored.others).push_back(path);
    files_of[first].emplace_back(name, bytes);
  }
  const std::vector<RecordedSession> list = list_.Read();
  for (auto& [first, stored] : found) {
    if (IsOwn(stored, list)) {
      folder.own.push_back(std::move(stored));
    } else {
      for (const auto& [name, bytes] : files_of[first]) folder.AddForeign(name, bytes);
    }
  }
  std::sort(folder.own.begin(), folder.own.end(), [](const Stored& a, const Stored& b) {
    return std::tie(a.started, a.first) < std::tie(b.started, b.first);
  });
  return folder;
}

// Also learns from the list what is known of it. One file that is not the recorder's makes the
// whole recording the user's.
bool Retention::IsOwn(Stored& stored, const std::vector<RecordedSession>& list) const {
  if (stored.sessions.empty() || !stored.regular) return false;
  bool known = false;
  for (const std::string& path : stored.sessions) {
    const std::string name = FileNameOf(path);
    const auto entry = std::find_if(list.begin(), list.end(), [&](const RecordedSession& session) {
      return session.name == name;
    });
    if (entry == list.end() || list_.StartOf(path) != entry->start) return false;
    if (known && entry->started >= stored.started) continue;
    known = true;
    stored.started = entry->started;
    stored.stage = entry->stage;
    stored.vehicle = entry->vehicle;
  }
  return true;
}

bool Retention::MayDelete(const Stored& stored, const std::string& recording) const {
  if (stored.first == recording || session::IsPinned(files_, stored.first)) return false;
  // Somebody measured by hand beside it: it is more than a recording now.
  if (files_.Exists(session::MeasuredPath(stored.first))) return false;
  return std::none_of(stored.sessions.begin(), stored.sessions.end(),
                      [this](const std::string& path) { return files_.IsLocked(path); });
}

// Oldest first. What is under way does not count as a recording of its stage: it may become
// nothing.
std::vector<Retention::Stored> Retention::Candidates(const Folder& folder,
                                                     const std::string& recording) const {
  std::vector<Stored> candidates;
  std::set<std::pair<std::string, std::string>> seen;
  for (auto stored = folder.own.rbegin(); stored != folder.own.rend(); ++stored) {
    if (stored->first == recording) continue;
    const bool newest = seen.emplace(stored->vehicle, stored->stage).second;
    if (newest && !stored->stage.empty()) continue;
    if (MayDelete(*stored, recording)) candidates.push_back(*stored);
  }
  std::reverse(candidates.begin(), candidates.end());
  return candidates;
}

// --- deleting ---

bool Retention::LookAtDisk() {
  const auto free = files_.FreeBytes(directory_);
  if (free.ok()) info_.free = *free;
  return free.ok();
}

// What cannot be reached is no goal: nothing is deleted for it.
Retention::Goal Retention::Choose(const Folder& folder, const std::vector<Stored>& candidates,
                                  std::uint64_t wanted_free) {
  std::uint64_t possible = 0;
  for (const Stored& stored : candidates) possible += stored.bytes;
  Goal goal;
  const bool budget_helps = info_.used - possible <= *info_.budget;
  const bool disk_helps = info_.free + possible >= wanted_free;
  if (budget_helps) goal.most_used = *info_.budget;
  if (disk_helps) goal.least_free = wanted_free;
  SayOverBudget(!budget_helps);
  SayFull(folder, !disk_helps);
  return goal;
}

void Retention::Apply(const std::string& recording, std::uint64_t wanted_free) {
  if (!LookAtDisk() || !info_.budget) return;
  const Folder folder = Look();
  info_.used = 0;
  for (const Stored& stored : folder.own) info_.used += stored.bytes;
  const std::vector<Stored> candidates = Candidates(folder, recording);
  const Goal goal = Choose(folder, candidates, wanted_free);
  for (const Stored& stored : candidates) {
    if (goal.Reached(info_)) return;
    const std::uint64_t free_before = info_.free;
    if (!Delete(stored)) continue;
    info_.used -= stored.bytes;
    LookAtDisk();
    // A file with a second name frees nothing: deleting more for the disk's sake would not help.
    const bool helped = info_.free > free_before || info_.used > goal.most_used;
    if (!helped) return;
  }
}

bool Retention::Delete(const Stored& stored) {
  for (const auto* paths : {&stored.sessions, &stored.others}) {
    for (const std::string& path : *paths) {
      const Status status = files_.Remove(path);
      if (status.ok()) continue;
      log_.Warning("Could not delete " + path + ": " + status.message());
      return false;
    }
  }
  (void)files_.SyncDirectory(directory_);
  counters_.Add(Counter::kDeletedRecordings);
  log_.Warning("Deleted " + stored.first + " (" + FormatCount(stored.bytes) +
               " bytes) to keep the budget; pin what must stay: proofdrive pin SESSION");
  info_.deleted.push_back(FileNameOf(stored.first));
  if (info_.deleted.size() > kDeletedShown) info_.deleted.erase(info_.deleted.begin());
  return true;
}

// --- what is said ---

void Retention::SayOverBudget(bool over) {
  if (over && !info_.over_budget) {
    log_.Warning(
        "The recordings of this program take " + FormatCount(info_.used) +
        " bytes, more than the budget of " + FormatCount(*info_.budget) +
        ", and deleting what may be deleted would not help, so nothing is: what is pinned, "
        "being recorded or the newest of its stage stays");
  }
  info_.over_budget = over;
}

void Retention::SayFull(const Folder& folder, bool full) {
  const bool said = !info_.filled_by.empty();
  info_.filled_by.clear();
  if (!full) return;
  info_.filled_by = "in " + directory_ + " recordings of this program take " +
                    FormatCount(info_.used) + " bytes, other files " +
                    FormatCount(folder.foreign_bytes);
  if (folder.largest_bytes > 0) {
    info_.filled_by += " (the largest: " + Printable(folder.largest) + ", " +
                       FormatCount(folder.largest_bytes) + ")";
  }
  info_.filled_by += "; whatever else fills the disk lies outside of that folder";
  if (said) return;
  log_.Error(
      "The disk is almost full, and deleting recordings would not make enough room, so none "
      "is deleted: " +
      info_.filled_by);
}

}  // namespace proofdrive::daemon
