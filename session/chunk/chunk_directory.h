// What a chunk holds and where in it: the streams, their times and blocks.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/result.h"
#include "core/frame/frame.h"
#include "session/chunk/predicted_byte.h"
#include "session/chunk/times.h"
#include "session/model/layout.h"

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
  PredictedByte predicted;
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

// The streams of these keys, sorted, as far as the chunk has them: faster than taking in the whole
// directory. Only those are checked.
Result<std::vector<StreamBlock>> FindStreams(ByteSpan directory, std::size_t blocks_bytes,
                                             std::span<const StreamKey> sorted);

// Payload bytes of every frame of a stream.
inline std::size_t StrideOf(const StreamKey& key) { return (key.flags & kRemote) ? 0 : key.length; }

}  // namespace proofdrive::session
