// Collects the frames of one chunk and encodes them: columns per stream, and the order of arrival.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <vector>

#include "core/frame/frame.h"
#include "session/file/compression.h"

namespace proofdrive::session {

// Keeps about 28 bytes of memory per frame and twice its payload from chunk to chunk, and needs
// about as much again while encoding. One thread at a time.
class ChunkBuilder {
 public:
  // REQUIRES: Validate(frame).ok(); frames() < kMaxFramesPerChunk.
  void Add(const Frame& frame, std::int64_t units);
  std::size_t frames() const { return arrivals_.size(); }
  // Time of the first and last frame added. REQUIRES: frames() > 0.
  std::int64_t first() const { return arrivals_.front().time; }
  std::int64_t last() const { return arrivals_.back().time; }
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
    std::uint64_t key = ~std::uint64_t{0};  // packed; this is the key of no frame
    std::uint32_t number = 0;
  };
  struct Arrival {
    std::int64_t time = 0;
    std::uint32_t stream = 0;  // number
  };
  // The columns of all streams one after the other, sorted by key.
  struct Columns {
    std::vector<std::int64_t> times;
    std::vector<std::uint8_t> bytes;
    std::vector<std::uint32_t> arrival;  // place of the stream in that order, of every frame
  };

  std::uint32_t NumberOf(const Frame& frame);
  std::uint32_t FindOrAdd(const StreamKey& key);
  void AppendPayload(ByteSpan payload);
  void SortIntoColumns();

  std::vector<Stream> streams_;  // in order of appearance
  static constexpr unsigned kRecentBits = 9;
  std::array<Recent, std::size_t{1} << kRecentBits> recent_;
  std::map<StreamKey, std::uint32_t> numbers_;

  std::vector<Arrival> arrivals_;    // all frames
  std::vector<std::uint8_t> bytes_;  // and their payloads; the first bytes_used_ count
  std::size_t bytes_used_ = 0;

  Columns columns_;
};

}  // namespace proofdrive::session
