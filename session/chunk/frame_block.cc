#include "session/chunk/frame_block.h"

namespace proofdrive::session {

FrameBlock::FrameBlock(const ChunkFrames& chunk, FrameBatches& batches, std::uint64_t done)
    : chunk_(&chunk), batches_(&batches), done_(done) {
  streams_.reserve(chunk.streams.size());
  const std::span<const std::int64_t> times(chunk.times);
  for (const ChunkFrames::Stream& stream : chunk.streams) {
    streams_.push_back(
        {stream.key, times.subspan(stream.first_row, stream.rows),
         ByteSpan(chunk.bytes).subspan(stream.first_byte, stream.rows * StrideOf(stream.key))});
  }
}

bool FrameBlock::ForEachBatch(const BatchVisitor& visit) const {
  return batches_->HandOut(*chunk_, visit);
}

}  // namespace proofdrive::session
