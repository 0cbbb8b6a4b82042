// Writes one session: frames and events in, a file that survives a pulled plug out.
//
// While recording there are two files: NAME.session with the finished chunks and NAME.journal with
// what came after the last chunk. Finish() writes the last chunk and the footer and removes the
// journal. See docs/session-format.md.
#pragma once

#include <memory>
#include <span>
#include <string>

#include "core/base/clock.h"
#include "core/base/files.h"
#include "core/base/result.h"
#include "core/frame/frame.h"
#include "session/model/header.h"

namespace proofdrive::session {

struct WriterOptions {
  std::size_t frames_per_chunk = 65536;
  Duration time_per_chunk = std::chrono::seconds(30);
  int compression_level = 3;  // of zstd, 1..19
  // false: no journal (imports, where the input is still there when the power fails).
  bool journal = true;
};

struct WriterStats {
  std::uint64_t frames = 0;
  std::uint64_t events = 0;
  std::uint64_t chunks = 0;
  std::uint64_t bytes = 0;            // in the session file so far
  std::uint64_t journal_bytes = 0;    // in the journal now
  std::uint64_t rejected_frames = 0;  // failed Validate; not stored
};

// Memory: what one chunk needs, about 9 MiB with the usual chunks and frames of 8 bytes, however
// long the session; the index adds about 70 bytes per chunk. One thread at a time. The destructor
// of an unfinished writer leaves an interrupted session that Reader opens and Recover completes.
class Writer {
 public:
  // Creates `path`, which must end in ".session", and its journal, both durable on return.
  // `files` must outlive the writer. kAlreadyExists: nothing is overwritten, not even an old
  // journal of that name, unless both are empty: what an attempt left that ended at once.
  static Result<std::unique_ptr<Writer>> Create(Files& files, const std::string& path,
                                                Header header, WriterOptions options = {});
  virtual ~Writer() = default;

  // Frames in the order of arrival; times may repeat and step backward. On kNoSpace and other
  // failures nothing before this call is lost, stats().frames tells how many of this call's frames
  // were taken, and the session can still be appended to, finished or recovered. Frames that fail
  // Validate are counted and left out.
  virtual Status Append(std::span<const Frame> frames) = 0;
  virtual Status AddEvent(const Event& event) = 0;
  // A channel that appeared after Create (an interface plugged in later). Its number must be new.
  virtual Status AddChannel(const Channel& channel) = 0;
  // Makes everything appended so far durable. Call about once a second and after a mark. Without a
  // journal this writes a chunk.
  virtual Status Sync() = 0;
  // Whether both files are still what and where they were, as AppendFile::CheckPlace. When not,
  // what is appended from now on is lost. Finish looks after the session itself.
  virtual Status CheckFiles() const = 0;
  // Says in the finished session that the recording goes on in another part. Call before Finish.
  virtual void SetContinued() = 0;
  // Completes the session. On failure (a full disk) it can be called again later. After success no
  // call but stats() and header() is allowed.
  virtual Status Finish() = 0;

  virtual WriterStats stats() const = 0;
  // As given to Create, with the id that was made and the channels added since.
  virtual const Header& header() const = 0;
};

}  // namespace proofdrive::session
