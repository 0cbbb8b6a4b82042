// A file system in memory that can lose power, fill up and fail on demand.
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <random>
#include <set>
#include <string>
#include <vector>

#include "core/base/files.h"

namespace proofdrive::testing {

// What becomes of bytes that were appended but never synced when the power goes.
enum class Unsynced { kWritten, kLost, kGarbage };

// Single-threaded. Files it hands out must not outlive it.
class MemoryFiles : public Files {
 public:
  // --- faults ---
  // Fails the `nth` (from 1) call that changes something or syncs, and all later ones when
  // `sticky`, with `kind`. A failing Append writes the first half of its bytes.
  void FailAfter(int nth, ErrorKind kind = ErrorKind::kIo, bool sticky = true);
  void StopFailing();
  // Whether a failing Append writes a part of its bytes; a program that is killed writes none.
  void SetTornAppends(bool torn) { torn_ = torn; }
  // Calls so far that FailAfter counts.
  int mutating_calls() const { return calls_; }
  // Appends that would make all files together larger than this fail with kNoSpace.
  void SetCapacity(std::uint64_t bytes) { capacity_ = bytes; }
  // The power goes: unsynced bytes and names become what `unsynced` says, locks are released, and
  // files still open fail from now on.
  void LosePower(Unsynced unsynced);
  // The same with a fate of its own for every block of 64 bytes: written, empty or garbage, and
  // with a file that ends anywhere. Names are all kept or all as they were synced.
  void LosePowerAtRandom(std::mt19937& random);

  // --- direct access ---
  std::vector<std::uint8_t>& Contents(const std::string& path);
  void Put(const std::string& path, const std::vector<std::uint8_t>& bytes);

  // --- Files ---
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

 private:
  friend class MemoryAppendFile;
  friend class MemoryReadFile;
  friend class MemoryLock;
  struct Node {
    std::vector<std::uint8_t> bytes;
    std::size_t synced = 0;
    bool locked = false;
  };
  using NodePtr = std::shared_ptr<Node>;

  // The error of this call if a fault is due.
  Status CountCall(const std::string& what);
  std::uint64_t TotalBytes() const;

  std::map<std::string, NodePtr> names_;          // what the running program sees
  std::map<std::string, NodePtr> durable_names_;  // what is left after a power cut
  std::uint64_t capacity_ = ~std::uint64_t{0};
  int calls_ = 0;
  int fail_at_ = 0;
  bool sticky_ = false;
  bool torn_ = true;
  ErrorKind fail_kind_ = ErrorKind::kIo;
  int generation_ = 0;
};

}  // namespace proofdrive::testing
