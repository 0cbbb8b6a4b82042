#include "session/model/names.h"

#include "core/base/files.h"

namespace proofdrive::session {
namespace {

constexpr std::string_view kSessionEnding = ".session";

bool HasSessionEnding(const std::string& path) {
  const std::string name = FileNameOf(path);
  return name.size() > kSessionEnding.size() && name.ends_with(kSessionEnding);
}

std::string Stem(const std::string& path) {
  return HasSessionEnding(path) ? path.substr(0, path.size() - kSessionEnding.size()) : path;
}

}  // namespace

std::string JournalPath(const std::string& session_path) { return Stem(session_path) + ".journal"; }

std::string RecoveredPath(const std::string& session_path) {
  return Stem(session_path) + ".recovered.session";
}

std::string NextJournalPath(const std::string& session_path) {
  return JournalPath(session_path) + ".new";
}

Status CheckSessionPath(const std::string& path) {
  if (HasSessionEnding(path)) return Status::Ok();
  return Status(ErrorKind::kInvalidArgument,
                path + ": the name of a session must end in .session, for example " +
                    (FileNameOf(path).empty() ? path + "drive" : path) + ".session");
}

}  // namespace proofdrive::session
