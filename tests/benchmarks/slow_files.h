// A real disk that is slower than it is, or stops now and then.
#pragma once

#include <algorithm>
#include <chrono>
#include <memory>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "core/base/posix_files.h"
#include "core/base/time.h"

namespace proofdrive::benchmarks {

struct DiskManners {
  double bytes_per_s = 0;  // 0 = as the real one
  Duration stall{0};       // how long it stops ...
  Duration stall_every = std::chrono::seconds(5);
};

// One thread writes.
class SlowFiles : public Files {
 public:
  explicit SlowFiles(DiskManners manners) : manners_(manners) {}

  // Waits as long as writing `bytes` takes on such a disk.
  void Pay(std::size_t bytes) {
    using Clock = std::chrono::steady_clock;
    if (manners_.bytes_per_s > 0) {
      busy_until_ = std::max(busy_until_, Clock::now()) +
                    std::chrono::duration_cast<Clock::duration>(
                        FromSeconds(static_cast<double>(bytes) / manners_.bytes_per_s));
      std::this_thread::sleep_until(busy_until_);
    }
    if (manners_.stall > Duration(0) && Clock::now() >= next_stall_) {
      std::this_thread::sleep_for(manners_.stall);
      next_stall_ = Clock::now() + manners_.stall_every;
    }
  }

  Result<std::unique_ptr<AppendFile>> Create(const std::string& path) override {
    ASSIGN_OR_RETURN(auto file, real_.Create(path));
    return std::unique_ptr<AppendFile>(std::make_unique<File>(std::move(file), *this));
  }
  Result<std::unique_ptr<ReadFile>> Open(const std::string& path) override {
    return real_.Open(path);
  }
  Status Rename(const std::string& from, const std::string& to) override {
    return real_.Rename(from, to);
  }
  Status Remove(const std::string& path) override { return real_.Remove(path); }
  bool Exists(const std::string& path) override { return real_.Exists(path); }
  Result<FileInfo> Look(const std::string& path) override { return real_.Look(path); }
  PathKind KindOf(const std::string& path) override { return real_.KindOf(path); }
  Status MakeDirectory(const std::string& path) override { return real_.MakeDirectory(path); }
  Result<std::vector<std::string>> List(const std::string& directory) override {
    return real_.List(directory);
  }
  Status SyncDirectory(const std::string& directory) override {
    return real_.SyncDirectory(directory);
  }
  Result<std::uint64_t> FreeBytes(const std::string& directory) override {
    return real_.FreeBytes(directory);
  }
  Result<std::unique_ptr<FileLock>> Lock(const std::string& path) override {
    return real_.Lock(path);
  }
  bool IsLocked(const std::string& path) override { return real_.IsLocked(path); }

 private:
  class File : public AppendFile {
   public:
    File(std::unique_ptr<AppendFile> real, SlowFiles& disk) : real_(std::move(real)), disk_(disk) {}
    Status Append(ByteSpan bytes) override {
      disk_.Pay(bytes.size());
      return real_->Append(bytes);
    }
    Status Sync() override { return real_->Sync(); }
    std::uint64_t size() const override { return real_->size(); }
    Status CheckPlace(const std::string& path) const override { return real_->CheckPlace(path); }

   private:
    std::unique_ptr<AppendFile> real_;
    SlowFiles& disk_;
  };

  PosixFiles real_;
  const DiskManners manners_;
  std::chrono::steady_clock::time_point busy_until_{};
  std::chrono::steady_clock::time_point next_stall_ =
      std::chrono::steady_clock::now() + std::chrono::seconds(2);
};

}  // namespace proofdrive::benchmarks
