#include "session/model/leftover.h"

#include "session/model/names.h"

namespace proofdrive::session {

bool IsLeftover(Files& files, const std::string& session_path) {
  const auto journal = files.Look(JournalPath(session_path));
  if (!journal.ok() || !journal->regular || journal->bytes > 0) return false;
  const auto session = files.Look(session_path);
  if (!session.ok()) return session.status().kind() == ErrorKind::kNotFound;
  return session->regular && session->bytes == 0 && !files.IsLocked(session_path);
}

Status RemoveLeftover(Files& files, const std::string& session_path) {
  if (files.Exists(session_path)) RETURN_IF_ERROR(files.Remove(session_path));
  return files.Remove(JournalPath(session_path));
}

}  // namespace proofdrive::session
