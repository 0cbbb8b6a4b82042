#include "daemon/recording/free_name.h"

#include "session/model/leftover.h"
#include "session/model/names.h"
#include "session/model/parts.h"

namespace proofdrive::daemon {
namespace {

// Later parts count, whatever is at the path itself.
bool IsTaken(Files& files, const std::string& path) {
  const auto parts = session::FindParts(files, path);
  const bool only_this = !parts.ok() || (parts->size() == 1 && parts->front().path == path);
  if (only_this && session::IsLeftover(files, path)) return false;
  return parts.ok() || files.Exists(session::JournalPath(path));
}

}  // namespace

std::string SessionPath(const std::string& directory, const std::string& name) {
  return directory + "/" + name + std::string(session::kSessionEnding);
}

std::string FreeName(Files& files, const std::string& directory, const std::string& base) {
  std::string name = base;
  for (int number = 2; IsTaken(files, SessionPath(directory, name)); ++number) {
    name = base + "-" + std::to_string(number);
  }
  return name;
}

}  // namespace proofdrive::daemon
