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

}  // namespace

void ChunkFrames::LayOut(std::span<const StreamBlock> blocks) {
  std::size_t all_rows = 0;
  std::size_t all_bytes = 0;
  streams.clear();
  for (const StreamBlock& block : blocks) {
    streams.push_back({block.key, all_rows, all_bytes, block.rows});
    all_rows += block.rows;
    all_bytes += block.rows * StrideOf(block.key);
  }
  times.resize(all_rows);
  bytes.resize(all_bytes);
  order.clear();
  damage = Status::Ok();
}

// Unsigned: a damaged file may hold any number, and wrapping is harmless.
void ChunkFrames::ToNanoseconds(Duration resolution) {
  const auto factor = static_cast<std::uint64_t>(resolution.count());
  if (factor == 1) return;
  for (std::int64_t& time : times) {
    time = static_cast<std::int64_t>(static_cast<std::uint64_t>(time) * factor);
  }
}

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
  frames.LayOut(directory.streams);
  StreamTimes times;
  for (std::size_t i = 0; i < directory.streams.size(); ++i) {
    const StreamBlock& stream = directory.streams[i];
    const auto own_times = frames.TimesOf(frames.streams[i]);
    RETURN_IF_ERROR(DecodeStream(stream, Cut(blocks, stream.times), Cut(blocks, stream.payload),
                                 own_times, frames.BytesOf(frames.streams[i])));
    times.emplace_back(own_times);
  }
  memory_->order_bytes.resize(directory.order_bytes);
  RETURN_IF_ERROR(Unpack(directory.order, Cut(blocks, directory.order), memory_->decompressor,
                         memory_->order_bytes));
  RETURN_IF_ERROR(DecodeOrder(directory.order_coding, memory_->order_bytes, times, memory_->order));
  frames.order.swap(memory_->order.order);
  return Status::Ok();
}

void ChunkDecoder::DecodeWhole(const ChunkDirectory& directory, ByteSpan blocks,
                               ChunkFrames& frames) {
  frames.LayOut(directory.streams);
  std::vector<ChunkFrames::Stream> whole;
  for (std::size_t i = 0; i < directory.streams.size(); ++i) {
    const StreamBlock& stream = directory.streams[i];
    const Status status =
        DecodeStream(stream, Cut(blocks, stream.times), Cut(blocks, stream.payload),
                     frames.TimesOf(frames.streams[i]), frames.BytesOf(frames.streams[i]));
    if (status.ok()) whole.push_back(frames.streams[i]);
    if (!status.ok() && frames.damage.ok()) frames.damage = status;
  }
  frames.streams = std::move(whole);
}

}  // namespace proofdrive::session
