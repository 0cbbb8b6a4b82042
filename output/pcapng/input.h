// A capture file seen through a small window that moves forward.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "core/base/files.h"
#include "core/base/result.h"

namespace proofdrive::output {

// Reads what the file holds at the time of Open; memory is bounded by the largest Peek.
class CaptureInput {
 public:
  static Result<CaptureInput> Open(Files& files, const std::string& path);

  // The next `count` bytes without moving; fewer when the file ends. Valid until the next call.
  Result<ByteSpan> Peek(std::size_t count);
  // Moves forward, at most to the end.
  void Skip(std::uint64_t count);

  std::uint64_t position() const { return position_; }
  std::uint64_t size() const { return size_; }
  std::uint64_t remaining() const { return size_ - position_; }

 private:
  CaptureInput(std::unique_ptr<ReadFile> file, std::uint64_t size)
      : file_(std::move(file)), size_(size) {}

  std::unique_ptr<ReadFile> file_;
  std::uint64_t size_;
  std::uint64_t position_ = 0;
  std::uint64_t window_start_ = 0;
  std::vector<std::uint8_t> window_;
};

}  // namespace proofdrive::output
