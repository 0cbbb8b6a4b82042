// The file system as the project uses it: the seam for every crash test.
//
// Durability is a visible call: bytes given to AppendFile::Append survive a crash of the program,
// and survive a power cut only after Sync; a new name survives a power cut only after
// SyncDirectory of its folder.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/result.h"

namespace proofdrive {

// A file that only grows. One thread at a time.
class AppendFile {
 public:
  virtual ~AppendFile() = default;  // closes without syncing
  // Writes all bytes or fails; on failure a part of them may be in the file. kNoSpace: disk full.
  virtual Status Append(ByteSpan bytes) = 0;
  // Returns when everything appended so far is on the medium.
  virtual Status Sync() = 0;
  // Bytes in the file, including those of a failed Append that were written.
  virtual std::uint64_t size() const = 0;
  // Whether `path` still leads to this file and the file holds what was appended, no more and no
  // less. kNotFound: it was removed or moved away; kAlreadyExists: another file is there instead;
  // kTruncated: somebody else changed its length.
  virtual Status CheckPlace(const std::string& path) const = 0;
};

// A file read at any place. One thread at a time.
class ReadFile {
 public:
  virtual ~ReadFile() = default;
  // Up to `count` bytes from `offset`; fewer only at the end of the file.
  virtual Result<std::vector<std::uint8_t>> Read(std::uint64_t offset, std::size_t count) = 0;
  // The size now; another process may still be appending.
  virtual Result<std::uint64_t> Size() = 0;
};

// What is known of a file without opening it.
struct FileInfo {
  bool regular = false;     // an ordinary file: no folder, pipe, device or socket
  std::uint64_t bytes = 0;  // its length
};

// Held while a file is being written; released by the destructor or when the process dies.
class FileLock {
 public:
  virtual ~FileLock() = default;
};

// What stands at a path.
enum class PathKind {
  kNothing,
  kFile,  // a regular file
  kFolder,
  kLink,  // a symbolic link, whatever it leads to
  kOther  // a device, a pipe, a socket
};

class Files {
 public:
  virtual ~Files() = default;
  // Creates `path`; kAlreadyExists when it is there (nothing is ever overwritten).
  virtual Result<std::unique_ptr<AppendFile>> Create(const std::string& path) = 0;
  virtual Result<std::unique_ptr<ReadFile>> Open(const std::string& path) = 0;
  // Moves a file within a folder, replacing `to`.
  virtual Status Rename(const std::string& from, const std::string& to) = 0;
  virtual Status Remove(const std::string& path) = 0;
  virtual bool Exists(const std::string& path) = 0;
  // Never opens the file, so that nothing in a folder can make it wait.
  virtual Result<FileInfo> Look(const std::string& path) = 0;
  // kNothing also when it cannot be told.
  virtual PathKind KindOf(const std::string& path) = 0;
  // Creates the folder and its parents; no error when it is there.
  virtual Status MakeDirectory(const std::string& path) = 0;
  // Names (not paths) in a folder, sorted.
  virtual Result<std::vector<std::string>> List(const std::string& directory) = 0;
  // Makes new, renamed and removed names of a folder durable.
  virtual Status SyncDirectory(const std::string& directory) = 0;
  // Bytes an ordinary user can still write on the file system of `directory`.
  virtual Result<std::uint64_t> FreeBytes(const std::string& directory) = 0;
  // kBusy when another process (or another lock of this one) holds it. The file must exist and be
  // writable.
  virtual Result<std::unique_ptr<FileLock>> Lock(const std::string& path) = 0;
  // Whether somebody holds the lock. Takes none, so that whoever asks is in nobody's way.
  virtual bool IsLocked(const std::string& path) = 0;
};

// "dir" of "dir/name"; "." when there is no slash.
std::string DirectoryOf(const std::string& path);
// "name" of "dir/name".
std::string FileNameOf(const std::string& path);

// The whole file. kInvalidArgument when it is larger than `limit` bytes.
Result<std::string> ReadWholeFile(Files& files, const std::string& path,
                                  std::uint64_t limit = std::uint64_t{1} << 30);
// Writes a temporary file beside `path`, syncs it and renames it over `path`: readers see the old
// text or the new one, never a part. The temporary name is one that nobody has; after an error
// nothing is left of it. Whatever stands at `path` is replaced: whoever takes a path from a user
// asks first (tools/input/output_file.h).
Status ReplaceFile(Files& files, const std::string& path, const std::string& text);

}  // namespace proofdrive
