// Everything about a session file but its frames: found through the footer, or by a scan when
// there is none, together with the journal when the session was not finished.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "core/base/files.h"
#include "core/base/result.h"
#include "session/file/convert.h"
#include "session/index/index.h"
#include "session/model/header.h"
#include "session/model/loss.h"

namespace proofdrive::session {

struct Contents {
  std::unique_ptr<ReadFile> file;
  std::uint64_t file_bytes = 0;
  FileIdentity identity;
  Header header;
  State state = State::kComplete;
  Index index;  // streams: without those of the journal
  std::vector<Event> events;
  std::vector<Frame> journal_frames;
  std::vector<Loss> losses;
};

// Errors as Reader::Open.
Result<Contents> LoadContents(Files& files, const std::string& path);

}  // namespace proofdrive::session
