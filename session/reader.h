// Reads one session in any state: complete, being recorded, interrupted or damaged.
#pragma once

#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "core/base/files.h"
#include "core/base/result.h"
#include "core/frame/frame.h"
#include "session/chunk/frame_block.h"
#include "session/model/header.h"
#include "session/model/loss.h"

namespace proofdrive::session {

// All frames of one stream, as columns of equal length in order of arrival.
struct Column {
  StreamKey key;
  std::vector<WallTime> times;
  std::vector<std::uint8_t> bytes;  // times.size() * stride()
  std::size_t stride() const { return (key.flags & kRemote) ? 0 : key.length; }
  ByteSpan payload(std::size_t row) const { return {bytes.data() + row * stride(), stride()}; }
};

struct ReaderOptions {
  // Threads that decode what is read, the calling one included.
  // 0: one for every processor, at most 4.
  unsigned threads = 0;
  // Times and payloads of one stream that ReadStream may gather: some kilobytes of a file can stand
  // for gigabytes of equal frames.
  std::size_t most_column_bytes = std::size_t{2} << 30;
};

// What is read of a session.
struct BlockRequest {
  // Every stream, and the order in which the frames arrived; else only `streams`, of which the
  // others are not decompressed.
  bool all = true;
  std::vector<StreamKey> streams = {};  // sorted; those that are not there are passed over
};

// Immutable once open; several threads may read through readers of their own. Whatever the length
// of the session, reading all frames keeps at most 2 * threads chunks in memory: with frames of 8
// bytes and chunks of the usual size about 2 MiB each.
class Reader {
 public:
  // `files` must outlive the reader. kNotFound, kInvalidArgument (not a session, says what it looks
  // like; or made to fill the memory), kTruncated (empty), kUnsupportedVersion (a newer one),
  // kCorrupt (not even the header can be read). Damage elsewhere is no error: it is listed in
  // losses().
  static Result<std::unique_ptr<Reader>> Open(Files& files, const std::string& path,
                                              ReaderOptions options = {});
  virtual ~Reader() = default;

  virtual const Header& header() const = 0;
  virtual State state() const = 0;
  // In order of time of recording. Includes those still in the journal.
  virtual const std::vector<Event>& events() const = 0;
  // Sorted by key. Exact, also for an interrupted session.
  virtual const std::vector<StreamInfo>& streams() const = 0;
  virtual std::uint64_t frame_count() const = 0;
  // Receive time of the first and last frame in order of arrival; equal and zero when empty.
  virtual WallTime first_time() const = 0;
  virtual WallTime last_time() const = 0;
  virtual std::uint64_t file_bytes() const = 0;
  // Found so far: all structural damage at Open, damaged contents when they are read.
  virtual const std::vector<Loss>& losses() const = 0;

  // The one way to read, on which the others stand: calls `visit` with one stretch of time after
  // the other until it returns false. What is damaged is skipped and added to losses(): of a chunk
  // the streams that are damaged, and then the order of all. `visit` is called from this thread
  // only, while other threads decode what comes next; it may itself read this session.
  virtual Status ForEachBlock(const BlockRequest& request, const BlockVisitor& visit) = 0;
  // Every readable frame in the exact order of arrival until `visit` returns false.
  Status ForEachFrame(const std::function<bool(const Frame&)>& visit);
  // The same with some frames at a time, at least 1, which is faster. They are valid until `visit`
  // returns.
  Status ForEachBatch(const std::function<bool(std::span<const Frame>)>& visit);
  // The frames of one stream without decompressing the others. kNotFound: no such stream;
  // kInvalidArgument: more than ReaderOptions::most_column_bytes.
  Result<Column> ReadStream(const StreamKey& key);

 protected:
  std::size_t most_column_bytes_ = ReaderOptions{}.most_column_bytes;
};

}  // namespace proofdrive::session
