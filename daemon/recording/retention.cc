#include "daemon/recording/retention.h"

#include <algorithm>
#include <map>
#include <utility>

#include "core/base/text.h"
#include "session/model/parts.h"
#include "session/model/pin.h"
#include "session/reader.h"

namespace proofdrive::daemon {

// All files of one recording.
struct Retention::Stored {
  std::string first;  // path of the first part
  std::uint64_t bytes = 0;
  std::vector<std::string> sessions;  // paths of the parts
  std::vector<std::string> others;    // journal, truth of a simulation
  WallTime started;
};

namespace {

constexpr std::string_view kSession = ".session";
constexpr std::string_view kOthers[] = {".journal", ".journal.new", ".truth.json"};

// The session that a file belongs to; empty: to none.
std::string SessionOf(const std::string& name) {
  if (name.ends_with(kSession)) return name;
  for (const std::string_view ending : kOthers) {
    if (name.ends_with(ending)) {
      return name.substr(0, name.size() - ending.size()) + std::string(kSession);
    }
  }
  return "";
}

std::uint64_t SizeOf(Files& files, const std::string& path) {
  const auto file = files.Open(path);
  if (!file.ok()) return 0;
  const auto size = (*file)->Size();
  return size.ok() ? *size : 0;
}

}  // namespace

Retention::Retention(Files& files, Log& log, Counters& counters, std::string directory,
                     std::optional<std::uint64_t> budget)
    : files_(files), log_(log), counters_(counters), directory_(std::move(directory)) {
  info_.budget = budget;
}

std::vector<Retention::Stored> Retention::Look() {
  std::map<std::string, Stored> found;
  const auto names = files_.List(directory_);
  if (names.ok()) {
    for (const std::string& name : *names) {
      const std::string session = SessionOf(name);
      if (session.empty()) continue;
      const std::string first = session::FirstPartPath(directory_ + "/" + session);
      const std::string path = directory_ + "/" + name;
      Stored& stored = found[first];
      stored.first = first;
      stored.bytes += SizeOf(files_, path);
      (session == name ? stored.sessions : stored.others).push_back(path);
    }
  }
  std::vector<Stored> all;
  for (auto& [first, stored] : found) all.push_back(std::move(stored));
  return all;
}

// Also learns when it was recorded.
bool Retention::MayDelete(Stored& stored, const std::string& recording) {
  if (stored.sessions.empty() || stored.first == recording) return false;
  if (session::IsPinned(files_, stored.first)) return false;
  for (const std::string& path : stored.sessions) {
    const auto reader = session::Reader::Open(files_, path);
    if (!reader.ok() || (*reader)->state() == session::State::kRecording) return false;
    if (!(*reader)->header().software.starts_with("proofdrived")) return false;
    if (path == stored.sessions.front()) stored.started = (*reader)->header().started.wall;
  }
  return true;
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

void Retention::Apply(const std::string& recording, std::uint64_t wanted_free) {
  const auto look_at_disk = [this] {
    const auto free = files_.FreeBytes(directory_);
    if (free.ok()) info_.free = *free;
    return free.ok();
  };
  if (!look_at_disk() || !info_.budget) return;
  std::vector<Stored> all = Look();
  info_.used = 0;
  for (const Stored& stored : all) info_.used += stored.bytes;
  const auto enough = [&] { return info_.used <= *info_.budget && info_.free >= wanted_free; };
  if (enough()) return SayOverBudget(false);
  std::erase_if(all, [&](Stored& stored) { return !MayDelete(stored, recording); });
  std::sort(all.begin(), all.end(), [](const Stored& a, const Stored& b) {
    return std::tie(a.started, a.first) < std::tie(b.started, b.first);
  });
  for (const Stored& stored : all) {
    if (enough()) break;
    if (!Delete(stored)) continue;
    info_.used -= stored.bytes;
    look_at_disk();
  }
  SayOverBudget(info_.used > *info_.budget);
}

void Retention::SayOverBudget(bool over) {
  if (over && !info_.over_budget) {
    log_.Warning("The sessions take " + FormatCount(info_.used) +
                 " bytes, more than the budget of " + FormatCount(*info_.budget) +
                 ", and nothing is left that may be deleted: what is pinned, being recorded or was "
                 "not recorded by this program stays");
  }
  info_.over_budget = over;
}

}  // namespace proofdrive::daemon
