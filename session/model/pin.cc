#include "session/model/pin.h"

#include "session/model/names.h"
#include "session/model/parts.h"

namespace proofdrive::session {

std::string PinPath(const std::string& session_path) {
  return PinnedPath(FirstPartPath(session_path));
}

bool IsPinned(Files& files, const std::string& session_path) {
  return files.Exists(PinPath(session_path));
}

Status SetPinned(Files& files, const std::string& session_path, bool pinned) {
  const std::string path = PinPath(session_path);
  if (files.Exists(path) == pinned) return Status::Ok();
  if (pinned) {
    ASSIGN_OR_RETURN(const auto file, files.Create(path));
    RETURN_IF_ERROR(file->Sync());
  } else {
    RETURN_IF_ERROR(files.Remove(path));
  }
  return files.SyncDirectory(DirectoryOf(path));
}

}  // namespace proofdrive::session
