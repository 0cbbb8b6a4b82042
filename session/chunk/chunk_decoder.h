// From the bytes of a chunk back to frames.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/result.h"
#include "core/frame/frame.h"
#include "session/chunk/chunk_directory.h"
#include "session/chunk/order.h"

namespace proofdrive::session {

// Frames of one chunk: the columns of the streams, one stream after the other, and, when all of
// them are there, the order in which the frames arrived. Reused from chunk to chunk.
struct ChunkFrames {
  struct Stream {
    StreamKey key;
    std::size_t first_row = 0;   // in times
    std::size_t first_byte = 0;  // in bytes
    std::size_t rows = 0;
  };
  std::vector<Stream> streams;
  std::vector<std::int64_t> times;  // in units of the resolution until ToNanoseconds
  std::vector<std::uint8_t> bytes;
  std::vector<std::uint32_t> order;  // the stream of every frame
  Status damage;                     // of what is left out

  // Room for these streams, one after the other, and nothing else.
  void LayOut(std::span<const StreamBlock> blocks);
  std::span<std::int64_t> TimesOf(const Stream& stream) {
    return std::span(times).subspan(stream.first_row, stream.rows);
  }
  std::span<std::uint8_t> BytesOf(const Stream& stream) {
    return std::span(bytes).subspan(stream.first_byte, stream.rows * StrideOf(stream.key));
  }
  void ToNanoseconds(Duration resolution);
};

// Keeps its working memory from one chunk to the next. One thread at a time.
class ChunkDecoder {
 public:
  ChunkDecoder();
  ~ChunkDecoder();

  // One stream from its two blocks, checked against their CRC. kCorrupt. Sizes: stream.rows, and
  // stream.rows * StrideOf(stream.key).
  Status DecodeStream(const StreamBlock& stream, ByteSpan times, ByteSpan payload,
                      std::span<std::int64_t> times_out, std::span<std::uint8_t> bytes_out);

  // All frames. kCorrupt when any part of the chunk is damaged; `frames` then holds nothing useful.
  Status DecodeAll(const ChunkDirectory& directory, ByteSpan blocks, ChunkFrames& frames);
  // What DecodeAll can not: the streams of a damaged chunk that are whole, without their order.
  // `frames.damage` says what is wrong with the first of the others.
  void DecodeWhole(const ChunkDirectory& directory, ByteSpan blocks, ChunkFrames& frames);

 private:
  struct Memory;
  std::unique_ptr<Memory> memory_;
};

}  // namespace proofdrive::session
