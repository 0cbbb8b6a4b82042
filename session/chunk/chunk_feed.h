// Decoded chunks of a session one after the other, the next ones being decoded meanwhile by other
// threads.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>

#include "core/base/result.h"
#include "session/chunk/chunk_decoder.h"

namespace proofdrive::session {

// For one reading thread. At most 2 * threads chunks are in memory, whatever the session's length.
class ChunkFeed {
 public:
  // Fetches and decodes chunk `number`. Called from several threads at once, each with a decoder of
  // its own; chunks are begun in order.
  using Load =
      std::function<Status(std::size_t number, ChunkDecoder& decoder, ChunkFrames& frames)>;

  // Chunks 0 to count - 1, decoded by `threads` threads (at least 1) of which the reading thread is
  // one: with 1 no thread is started. When none can be started, the reading thread does it alone.
  ChunkFeed(Load load, std::size_t count, unsigned threads);
  ~ChunkFeed();  // waits for chunks that are being decoded

  // The next chunk, in order; the error of loading it, after which the next call goes on behind it.
  // Valid until the next call. REQUIRES: not more than `count` calls.
  Result<const ChunkFrames*> Next();

 private:
  class Shared;
  std::unique_ptr<Shared> shared_;
};

}  // namespace proofdrive::session
