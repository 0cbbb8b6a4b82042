#include "session/chunk/chunk_decoder.h"

#include "core/digests/crc32c.h"
#include "session/chunk/planes.h"
#include "session/chunk/predicted_byte.h"
#include "session/chunk/times.h"
#include "session/file/compression.h"

namespace proofdrive::session {
namespace {

// Fills `out`, which was sized by the caller. A run of no bytes has no block at all.
Status Unpack(const Block& block, ByteSpan bytes, Decompressor& decompressor,
              std::vector<std::uint8_t>& out) {
  if (out.empty()) return Status::Ok();
  if (bytes.size() != block.bytes || Crc32c(bytes) != block.crc) {
    return Status(ErrorKind::kCorrupt, "the checksum of a block does not match");
  }
  return decompressor.Decompress(block.codec, bytes, out);
}

ByteSpan Cut(ByteSpan blocks, const Block& block) {
  return blocks.subspan(block.offset, block.bytes);
}

// Room for all streams of the chunk, and which part is whose.
void LayOut(const ChunkDirectory& directory, ChunkFrames& frames) {
  std::size_t rows = 0;
  std::size_t bytes = 0;
  frames.streams.clear();
  for (const StreamBlock& stream : directory.streams) {
    frames.streams.push_back({stream.key, rows, bytes});
    rows += stream.rows;
    bytes += stream.rows * StrideOf(stream.key);
  }
  frames.times.resize(rows);
  frames.bytes.resize(bytes);
}

}  // namespace

struct ChunkDecoder::Memory {
  Decompressor decompressor;
  std::vector<std::uint8_t> planes;
  std::vector<std::uint64_t> residuals;
  std::vector<std::uint8_t> order_bytes;
  OrderBuffers order;
};

ChunkDecoder::ChunkDecoder() : memory_(std::make_unique<Memory>()) {}
ChunkDecoder::~ChunkDecoder() = default;

Status ChunkDecoder::DecodeStream(const StreamBlock& stream, ByteSpan times, ByteSpan payload,
                                  std::span<std::int64_t> times_out,
                                  std::span<std::uint8_t> bytes_out) {
  std::vector<std::uint64_t>& residuals = memory_->residuals;
  residuals.resize(ResidualCount(stream.pattern.coding, stream.rows));
  std::vector<std::uint8_t>& planes = memory_->planes;
  planes.resize(residuals.size() * stream.pattern.planes);
  RETURN_IF_ERROR(Unpack(stream.times, times, memory_->decompressor, planes));
  FromBytePlanes(planes, stream.pattern.planes, residuals);
  RebuildTimes(stream.pattern, residuals, times_out);

  const std::size_t stride = StrideOf(stream.key);
  planes.resize(8 * stride * BitPlaneBytes(stream.rows));
  RETURN_IF_ERROR(Unpack(stream.payload, payload, memory_->decompressor, planes));
  FromXorBitPlanes(planes, stride, bytes_out);
  CombineWithPrediction(stream.predicted, stride, bytes_out);
  return Status::Ok();
}

Status ChunkDecoder::DecodeAll(const ChunkDirectory& directory, ByteSpan blocks,
                               ChunkFrames& frames) {
  LayOut(directory, frames);
  StreamTimes times;
  for (std::size_t i = 0; i < directory.streams.size(); ++i) {
    const StreamBlock& stream = directory.streams[i];
    const auto own_times =
        std::span(frames.times).subspan(frames.streams[i].first_row, stream.rows);
    const auto own_bytes =
        std::span(frames.bytes)
            .subspan(frames.streams[i].first_byte, stream.rows * StrideOf(stream.key));
    RETURN_IF_ERROR(DecodeStream(stream, Cut(blocks, stream.times), Cut(blocks, stream.payload),
                                 own_times, own_bytes));
    times.emplace_back(own_times);
  }
  memory_->order_bytes.resize(directory.order_bytes);
  RETURN_IF_ERROR(Unpack(directory.order, Cut(blocks, directory.order), memory_->decompressor,
                         memory_->order_bytes));
  RETURN_IF_ERROR(DecodeOrder(directory.order_coding, memory_->order_bytes, times, memory_->order));
  frames.order.swap(memory_->order.order);
  return Status::Ok();
}

}  // namespace proofdrive::session
