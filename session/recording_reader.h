// Reads all parts of one recording (parts.h) as if they were one session.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "session/model/parts.h"
#include "session/reader.h"

namespace proofdrive::session {

// As Reader, in which `offset` of a loss is that within its part. Parts that are missing or cannot
// be read are listed in losses(). A session that was not split is read as it is.
class RecordingReader : public Reader {
 public:
  // Those that can be read, in order; one for a session of its own.
  virtual const std::vector<PartFile>& parts() const = 0;
};

// `path` as FindParts takes it, and its error; those of Reader::Open when no part can be read.
// `files` must outlive the reader.
Result<std::unique_ptr<RecordingReader>> OpenRecording(Files& files, const std::string& path);

}  // namespace proofdrive::session
