#include "core/base/files.h"

namespace proofdrive {

std::string DirectoryOf(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  if (slash == std::string::npos) return ".";
  return slash == 0 ? "/" : path.substr(0, slash);
}

std::string FileNameOf(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  return slash == std::string::npos ? path : path.substr(slash + 1);
}

Result<std::string> ReadWholeFile(Files& files, const std::string& path, std::uint64_t limit) {
  ASSIGN_OR_RETURN(auto file, files.Open(path));
  ASSIGN_OR_RETURN(const std::uint64_t size, file->Size());
  if (size > limit) {
    return Status(ErrorKind::kInvalidArgument,
                  path + " is larger than " + std::to_string(limit) + " bytes");
  }
  ASSIGN_OR_RETURN(const auto bytes, file->Read(0, static_cast<std::size_t>(size)));
  return std::string(bytes.begin(), bytes.end());
}

Status ReplaceFile(Files& files, const std::string& path, const std::string& text) {
  const std::string temporary = path + ".new";
  if (files.Exists(temporary)) RETURN_IF_ERROR(files.Remove(temporary));
  ASSIGN_OR_RETURN(auto file, files.Create(temporary));
  RETURN_IF_ERROR(file->Append(AsBytes(text)));
  RETURN_IF_ERROR(file->Sync());
  RETURN_IF_ERROR(files.Rename(temporary, path));
  return files.SyncDirectory(DirectoryOf(path));
}

}  // namespace proofdrive
