#include "output/pcapng/input.h"

#include <algorithm>

namespace proofdrive::output {
namespace {

constexpr std::size_t kReadAtOnce = 256 * 1024;

}  // namespace

Result<CaptureInput> CaptureInput::Open(Files& files, const std::string& path) {
  ASSIGN_OR_RETURN(auto file, files.Open(path));
  ASSIGN_OR_RETURN(const std::uint64_t size, file->Size());
  return CaptureInput(std::move(file), size);
}

Result<ByteSpan> CaptureInput::Peek(std::size_t count) {
  const auto wanted = static_cast<std::size_t>(std::min<std::uint64_t>(count, remaining()));
  const std::uint64_t window_end = window_start_ + window_.size();
  if (position_ < window_start_ || position_ + wanted > window_end) {
    const auto length = static_cast<std::size_t>(
        std::min<std::uint64_t>(std::max(wanted, kReadAtOnce), remaining()));
    ASSIGN_OR_RETURN(window_, file_->Read(position_, length));
    window_start_ = position_;
  }
  const auto at = static_cast<std::size_t>(position_ - window_start_);
  return ByteSpan(window_).subspan(at, std::min(wanted, window_.size() - at));
}

void CaptureInput::Skip(std::uint64_t count) { position_ += std::min(count, remaining()); }

}  // namespace proofdrive::output
