// Which sessions of a folder the recorder made itself: a small file beside them. Only these may
// ever be deleted to make room; a copy, an import, a recovered or a renamed file is the user's.
#pragma once

#include <string>
#include <vector>

#include "core/base/files.h"
#include "core/base/time.h"

namespace proofdrive::daemon {

struct RecordedSession {
  std::string name;     // of the file, "x.session"; every part of a recording has its own entry
  std::string start;    // its first bytes, which hold a random number, in hexadecimal
  std::string stage;    // "" = unspecified
  std::string vehicle;  // as the definition files call it
  WallTime started;
};

// One thread. `files` must outlive the object. Whatever the list holds, only entries that match
// what is in the folder count: a damaged, missing or foreign list protects everything.
class RecordedList {
 public:
  static constexpr char kFileName[] = "proofdrived.recordings";
  static constexpr std::uint64_t kMostBytes = std::uint64_t{4} << 20;

  RecordedList(Files& files, std::string directory);

  // The entries, in order. Empty when there is no list or it cannot be read.
  std::vector<RecordedSession> Read() const;
  // Adds the session at `path`, whose first bytes are taken from the file. Entries whose file is
  // gone, and an older one of that name, are dropped.
  Status Add(const std::string& path, RecordedSession session);
  // The first bytes of a regular file as in `RecordedSession::start`; empty when it has none.
  std::string StartOf(const std::string& path) const;

 private:
  std::string Path() const;

  Files& files_;
  const std::string directory_;
};

}  // namespace proofdrive::daemon
