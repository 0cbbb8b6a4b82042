// Collects the frames of one chunk and encodes them: columns per stream, and the order of arrival.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <vector>

#include "core/frame/frame.h"
#include "session/compression.h"

namespace proofdrive::session {

// Needs about 44 bytes of memory per frame and twice its payload; keeps it from chunk to chunk. One
// thread at a time.
class ChunkBuilder {
 public:
  // REQUIRES: Validate(frame).ok(); frames() < kMaxFramesPerChunk.
  void Add(const Frame& frame, std::int64_t units);
  std::size_t frames() const { return arrival_.size(); }
  // Time of the first and last frame added. REQUIRES: frames() > 0.
  std::int64_t first() const { return times_.front(); }
  std::int64_t last() const { return times_.back(); }
  // The payload of a chunk record. REQUIRES: frames() > 0.
  std::vector<std::uint8_t> Encode(std::uint64_t first_frame, Compressor& compressor);
  void Clear();

 private:
  struct Stream {
    StreamKey key;
    std::size_t rows = 0;
  };
  // The number of a stream that was added before: saves most look-ups in numbers_.
  struct Recent {
    StreamKey key;
    std::uint32_t number = ~std::uint32_t{0};
  };
  // The columns of all streams one after the other, sorted by key.
  struct Columns {
    std::vector<std::int64_t> times;
    std::vector<std::uint8_t> bytes;
    std::vector<std::uint32_t> arrival;  // place of the stream in that order, of every frame
  };

  std::uint32_t FindOrAdd(const StreamKey& key);
  void AppendPayload(ByteSpan payload);
  void SortIntoColumns();

  std::vector<Stream> streams_;  // in order of appearance
  std::array<Recent, 512> recent_;
  std::map<StreamKey, std::uint32_t> numbers_;

  // One entry for every frame, in order of arrival.
  std::vector<std::uint32_t> arrival_;  // number of the stream
  std::vector<std::int64_t> times_;
  std::vector<std::uint8_t> bytes_;  // the first bytes_used_ count
  std::size_t bytes_used_ = 0;

  Columns columns_;
};

}  // namespace proofdrive::session
