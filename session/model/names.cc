#include "session/model/names.h"

#include "core/base/files.h"

namespace proofdrive::session {
namespace {

constexpr std::string_view kJournalEnding = ".journal";
constexpr std::string_view kNextJournalEnding = ".journal.new";
constexpr std::string_view kTruthEnding = ".truth.json";

std::string WithEnding(const std::string& session_path, std::string_view ending) {
  return WithoutSessionEnding(session_path) + std::string(ending);
}

}  // namespace

bool HasSessionEnding(const std::string& path) {
  const std::string name = FileNameOf(path);
  return name.size() > kSessionEnding.size() && name.ends_with(kSessionEnding);
}

std::string WithoutSessionEnding(const std::string& path) {
  return HasSessionEnding(path) ? path.substr(0, path.size() - kSessionEnding.size()) : path;
}

std::string JournalPath(const std::string& session_path) {
  return WithEnding(session_path, kJournalEnding);
}

std::string RecoveredPath(const std::string& session_path) {
  return WithEnding(session_path, ".recovered") + std::string(kSessionEnding);
}

std::string NextJournalPath(const std::string& session_path) {
  return WithEnding(session_path, kNextJournalEnding);
}

std::string PinnedPath(const std::string& session_path) {
  return WithEnding(session_path, ".pinned");
}

std::string TruthPath(const std::string& session_path) {
  return WithEnding(session_path, kTruthEnding);
}

std::string MeasuredPath(const std::string& session_path) {
  return WithEnding(session_path, ".measured");
}

bool HoldsRecording(const std::string& path) {
  return path.ends_with(kSessionEnding) || path.ends_with(kJournalEnding) ||
         path.ends_with(kNextJournalEnding);
}

std::string SessionOfFile(const std::string& name) {
  if (HasSessionEnding(name)) return name;
  for (const std::string_view ending : {kJournalEnding, kNextJournalEnding, kTruthEnding}) {
    if (name.size() > ending.size() && name.ends_with(ending)) {
      return name.substr(0, name.size() - ending.size()) + std::string(kSessionEnding);
    }
  }
  return "";
}

Status CheckSessionPath(const std::string& path) {
  if (HasSessionEnding(path)) return Status::Ok();
  return Status(ErrorKind::kInvalidArgument,
                path + ": the name of a session must end in " + std::string(kSessionEnding) +
                    ", for example " + (FileNameOf(path).empty() ? path + "drive" : path) +
                    std::string(kSessionEnding));
}

}  // namespace proofdrive::session
