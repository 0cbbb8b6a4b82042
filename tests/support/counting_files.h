// Files whose reading is counted, and fails on demand.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "core/base/files.h"

namespace proofdrive::testing {

// `Base`: the Files that are really used. Opening, reading and asking for a size count as calls.
// One thread at a time reads. Files it hands out must not outlive it.
template <class Base>
class CountingFiles : public Base {
 public:
  std::uint64_t bytes = 0;  // read so far
  int calls = 0;
  int fail_at = 0;  // the call, from 1, that fails with kIo; 0: none

  Result<std::unique_ptr<ReadFile>> Open(const std::string& path) override {
    RETURN_IF_ERROR(Count(path));
    ASSIGN_OR_RETURN(auto file, Base::Open(path));
    return std::unique_ptr<ReadFile>(std::make_unique<File>(std::move(file), *this));
  }

 private:
  class File : public ReadFile {
   public:
    File(std::unique_ptr<ReadFile> file, CountingFiles& files)
        : file_(std::move(file)), files_(files) {}
    Result<std::vector<std::uint8_t>> Read(std::uint64_t offset, std::size_t count) override {
      RETURN_IF_ERROR(files_.Count("read"));
      auto result = file_->Read(offset, count);
      if (result.ok()) files_.bytes += result->size();
      return result;
    }
    Result<std::uint64_t> Size() override {
      RETURN_IF_ERROR(files_.Count("size"));
      return file_->Size();
    }

   private:
    std::unique_ptr<ReadFile> file_;
    CountingFiles& files_;
  };

  Status Count(const std::string& what) {
    return ++calls == fail_at ? Status(ErrorKind::kIo, what + ": made to fail") : Status::Ok();
  }
};

}  // namespace proofdrive::testing
