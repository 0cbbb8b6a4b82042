// One chunk of frames: columns per stream in blocks that can be read one by one, and the order of
// arrival. Both directions in one file pair.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/result.h"
#include "core/frame/frame.h"
#include "session/compression.h"
#include "session/layout.h"
#include "session/times.h"

namespace proofdrive::session {

// A run of bytes within the blocks of a chunk.
struct Block {
  std::uint32_t offset = 0;
  std::uint32_t bytes = 0;
  Codec codec = Codec::kNone;
  std::uint32_t crc = 0;
};

struct StreamBlock {
  StreamKey key;
  std::uint32_t rows = 0;
  std::int64_t last = 0;  // units since 1970; the first is pattern.first
  TimePattern pattern;
  Block times;
  Block payload;
};

struct ChunkDirectory {
  std::uint64_t first_frame = 0;
  std::uint32_t frames = 0;
  std::int64_t first = 0;  // units since 1970, in order of arrival
  std::int64_t last = 0;
  OrderCoding order_coding = OrderCoding::kStreamNumbers;
  std::uint32_t order_bytes = 0;  // before compression
  Block order;
  std::vector<StreamBlock> streams;  // sorted by key
};

// Where the two parts of a chunk message lie within its record's payload.
struct ChunkParts {
  std::uint32_t directory_offset = 0;
  std::uint32_t directory_bytes = 0;
  std::uint32_t blocks_offset = 0;
  std::uint32_t blocks_bytes = 0;
};
// kCorrupt when the payload is no chunk message as we write it.
Result<ChunkParts> SplitChunk(ByteSpan payload);

// Checks every count and size against the limits and `blocks_bytes`. kCorrupt otherwise.
Result<ChunkDirectory> ParseDirectory(ByteSpan bytes, std::size_t blocks_bytes);

// Rows of one stream, in units of the resolution.
struct Rows {
  std::vector<std::int64_t> times;
  std::vector<std::uint8_t> bytes;
};

// Collects frames and encodes them. One thread at a time.
class ChunkBuilder {
 public:
  // REQUIRES: Validate(frame).ok(); frames() < kMaxFramesPerChunk.
  void Add(const Frame& frame, std::int64_t units);
  std::size_t frames() const { return arrival_.size(); }
  // Time of the first and last frame added. REQUIRES: frames() > 0.
  std::int64_t first() const { return first_; }
  std::int64_t last() const { return last_; }
  // The payload of a chunk record. REQUIRES: frames() > 0.
  std::vector<std::uint8_t> Encode(std::uint64_t first_frame, Compressor& compressor) const;
  void Clear();

 private:
  struct Stream {
    StreamKey key;
    Rows rows;
  };
  std::uint32_t FindOrAdd(const StreamKey& key);

  // The number of a stream that was added before: saves most look-ups in numbers_.
  struct Recent {
    StreamKey key;
    std::uint32_t number = ~std::uint32_t{0};
  };

  std::vector<Stream> streams_;  // in order of appearance
  std::array<Recent, 512> recent_;
  std::map<StreamKey, std::uint32_t> numbers_;
  std::vector<std::uint32_t> arrival_;  // number of the stream of every frame
  std::int64_t first_ = 0;
  std::int64_t last_ = 0;
};

// Decodes chunks; keeps its working memory from one to the next. One thread at a time.
class ChunkDecoder {
 public:
  ChunkDecoder();
  ~ChunkDecoder();

  // One stream from its two blocks, checked against their CRC. kCorrupt.
  Status DecodeStream(const StreamBlock& stream, ByteSpan times, ByteSpan payload, Rows& rows);

  // Calls `visit` with every frame in order of arrival until it returns false, which is the result.
  // Nothing is visited when any part of the chunk is damaged: kCorrupt.
  Result<bool> VisitFrames(const ChunkDirectory& directory, ByteSpan blocks, Duration resolution,
                           const std::function<bool(const Frame&)>& visit);

 private:
  struct Memory;
  std::unique_ptr<Memory> memory_;
};

}  // namespace proofdrive::session
