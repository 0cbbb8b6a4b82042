// How much memory the contents of a session file, but for its frames, may take in a reader. A file
// of some kilobytes can ask for gigabytes: text that is compressed, messages that are empty.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>

#include "core/base/bytes.h"
#include "core/base/result.h"

namespace proofdrive::session {

// Shared by everything that takes in one session. What was taken is never given back. One thread.
class MemoryBudget {
 public:
  // Enough for whatever a writer puts into a session of that size: see docs/session-format.md.
  explicit MemoryBudget(std::uint64_t file_bytes)
      : left_(kBase + 4 * std::min(file_bytes, kMostCounted)) {}

  // kCorrupt when there is less left; exceeded() from then on.
  Status Take(std::uint64_t bytes);
  // Whether a record can be parsed with what is left: a field of two bytes becomes an object of a
  // hundred. Takes nothing, because that memory is given back at once. kCorrupt as Take.
  Status CheckRecord(ByteSpan payload);
  // What was read meanwhile is not all there is.
  bool exceeded() const { return exceeded_; }

 private:
  static constexpr std::uint64_t kBase = std::uint64_t{256} << 20;
  static constexpr std::uint64_t kMostCounted = std::uint64_t{512} << 20;  // a sparse file

  Status Exceed();

  std::uint64_t left_;
  bool exceeded_ = false;
};

}  // namespace proofdrive::session
