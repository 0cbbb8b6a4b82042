// What was recorded in one stretch of time, as columns of the streams: how a session is read.
#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "core/base/bytes.h"
#include "core/frame/frame.h"
#include "session/chunk/chunk_decoder.h"
#include "session/chunk/frame_batches.h"

namespace proofdrive::session {

// The frames of one stream within a block, in order of arrival.
struct BlockStream {
  StreamKey key;
  std::span<const std::int64_t> times_ns;  // since 1970
  ByteSpan bytes;                          // rows() * stride()

  std::size_t rows() const { return times_ns.size(); }
  std::size_t stride() const { return StrideOf(key); }
  WallTime time(std::size_t row) const { return WallFromNanoseconds(times_ns[row]); }
};

// Everything in it is valid until the visitor that was given the block returns.
class FrameBlock {
 public:
  // `chunk` and `batches` must outlive the block. `done`: see below.
  FrameBlock(const ChunkFrames& chunk, FrameBatches& batches, std::uint64_t done);

  // Those that were asked for and have frames here, sorted by key.
  const std::vector<BlockStream>& streams() const { return streams_; }
  // Frames of the session up to the end of this block, those of other streams included.
  std::uint64_t done() const { return done_; }
  void AddDone(std::uint64_t before) { done_ += before; }

  // All frames in the exact order of arrival, some at a time, until `visit` returns false, which is
  // the result. None when only some streams were asked for, or the order is damaged.
  bool ForEachBatch(const BatchVisitor& visit) const;

 private:
  const ChunkFrames* chunk_;
  FrameBatches* batches_;
  std::uint64_t done_;
  std::vector<BlockStream> streams_;
};

// Return false to stop.
using BlockVisitor = std::function<bool(const FrameBlock&)>;

}  // namespace proofdrive::session
