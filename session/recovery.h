// Checks a session and repairs what can be repaired, never touching the original.
#pragma once

#include <string>

#include "core/base/files.h"
#include "session/reader.h"

namespace proofdrive::session {

struct VerifyReport {
  State state = State::kComplete;
  std::uint64_t frames = 0;  // readable
  std::uint64_t events = 0;
  std::vector<Loss> losses;  // all, contents included
};

// Reads everything, all parts of a recording that was split, and says what is wrong. Errors as
// OpenRecording. Changes nothing.
Result<VerifyReport> Verify(Files& files, const std::string& path);

struct RecoverReport {
  std::string output;  // path of the new complete session
  std::uint64_t frames = 0;
  std::uint64_t events = 0;
  std::vector<Loss> losses;  // what the original had lost
};

// Writes a complete session with everything readable from `path` and its journal, all parts of a
// recording that was split, to `output` (must not exist). kBusy while the session is being
// recorded.
Result<RecoverReport> Recover(Files& files, const std::string& path, const std::string& output);

}  // namespace proofdrive::session
