// Files on a real file system (POSIX).
#pragma once

#include "core/base/files.h"

namespace proofdrive {

// Stateless and thread-safe; each file it opens belongs to one thread at a time.
class PosixFiles : public Files {
 public:
  Result<std::unique_ptr<AppendFile>> Create(const std::string& path) override;
  Result<std::unique_ptr<ReadFile>> Open(const std::string& path) override;
  Status Rename(const std::string& from, const std::string& to) override;
  Status Remove(const std::string& path) override;
  bool Exists(const std::string& path) override;
  Result<FileInfo> Look(const std::string& path) override;
  PathKind KindOf(const std::string& path) override;
  Status MakeDirectory(const std::string& path) override;
  Result<std::vector<std::string>> List(const std::string& directory) override;
  Status SyncDirectory(const std::string& directory) override;
  Result<std::uint64_t> FreeBytes(const std::string& directory) override;
  Result<std::unique_ptr<FileLock>> Lock(const std::string& path) override;
  bool IsLocked(const std::string& path) override;
};

}  // namespace proofdrive
