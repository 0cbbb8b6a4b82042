#include "session/chunk.h"

#include <algorithm>
#include <numeric>

#include <google/protobuf/arena.h>
#include <google/protobuf/io/coded_stream.h>

#include "core/base/crc32c.h"
#include "session/convert.h"
#include "session/order.h"
#include "session/planes.h"

namespace proofdrive::session {
namespace {

// Wire types of fields 1 and 2 of format::Chunk, both length-delimited.
constexpr std::uint32_t kDirectoryTag = (1 << 3) | 2;
constexpr std::uint32_t kBlocksTag = (2 << 3) | 2;

Status Damaged(const char* why) { return Status(ErrorKind::kCorrupt, why); }

std::size_t StrideOf(const StreamKey& key) { return (key.flags & kRemote) ? 0 : key.length; }

std::int64_t Sum(std::int64_t base, std::int64_t offset) {
  return static_cast<std::int64_t>(static_cast<std::uint64_t>(base) +
                                   static_cast<std::uint64_t>(offset));
}
std::int64_t Difference(std::int64_t value, std::int64_t base) {
  return static_cast<std::int64_t>(static_cast<std::uint64_t>(value) -
                                   static_cast<std::uint64_t>(base));
}

// --- writing ---

// Appends one block and describes it.
class BlockWriter {
 public:
  explicit BlockWriter(Compressor& compressor) : compressor_(compressor) {}
  void Put(ByteSpan raw, format::Block& message) {
    const Compressed block = compressor_.Compress(raw);
    message.set_bytes(static_cast<std::uint32_t>(block.bytes.size()));
    message.set_codec(static_cast<std::uint32_t>(block.codec));
    message.set_crc(Crc32c(block.bytes));
    bytes_.insert(bytes_.end(), block.bytes.begin(), block.bytes.end());
  }
  const std::vector<std::uint8_t>& bytes() const { return bytes_; }

 private:
  Compressor& compressor_;
  std::vector<std::uint8_t> bytes_;
};

void PutStream(const StreamKey& key, const Rows& rows, std::int64_t base, BlockWriter& writer,
               format::StreamBlock& message) {
  std::vector<std::uint64_t> residuals;
  const TimePattern pattern = FitTimes(rows.times, residuals);
  *message.mutable_key() = ToMessage(key);
  message.set_rows(static_cast<std::uint32_t>(rows.times.size()));
  message.set_first(Difference(rows.times.front(), base));
  message.set_last(Difference(rows.times.back(), base));
  message.set_time_coding(static_cast<std::uint32_t>(pattern.coding));
  message.set_time_offset(pattern.offset);
  message.set_period(pattern.period);
  message.set_time_planes(pattern.planes);
  if (pattern.planes > 0) {
    writer.Put(ToBytePlanes(residuals, pattern.planes), *message.mutable_times());
  }
  if (!rows.bytes.empty()) {
    writer.Put(ToXorBitPlanes(rows.bytes, StrideOf(key)), *message.mutable_payload());
  }
}

std::vector<std::uint8_t> JoinChunk(const format::ChunkDirectory& directory,
                                    const std::vector<std::uint8_t>& blocks) {
  format::Chunk chunk;
  const std::vector<std::uint8_t> bytes = Serialize(directory);
  chunk.set_directory(bytes.data(), bytes.size());
  chunk.set_blocks(blocks.data(), blocks.size());
  return Serialize(chunk);
}

// --- reading ---

// Turns block descriptions into places; remembers the first thing that is wrong.
class BlockPlacer {
 public:
  explicit BlockPlacer(std::size_t blocks_bytes) : left_(blocks_bytes) {}
  Block Place(const format::Block& message) {
    const Block block{offset_, message.bytes(), static_cast<Codec>(message.codec()), message.crc()};
    ok_ = ok_ && message.bytes() <= left_;
    if (!ok_) return block;
    left_ -= message.bytes();
    offset_ += message.bytes();
    return block;
  }
  bool ok() const { return ok_; }

 private:
  std::size_t left_;
  std::uint32_t offset_ = 0;
  bool ok_ = true;
};

Result<StreamBlock> ParseStream(const format::StreamBlock& message, std::int64_t base,
                                BlockPlacer& placer) {
  StreamBlock stream;
  ASSIGN_OR_RETURN(stream.key, FromMessage(message.key()));
  if (message.rows() == 0 || message.rows() > kMaxFramesPerChunk) {
    return Damaged("a stream of a chunk has an absurd number of frames");
  }
  if (message.time_coding() > static_cast<std::uint32_t>(TimeCoding::kGrid) ||
      message.time_planes() > sizeof(std::uint64_t)) {
    return Damaged("the times of a stream are stored in an unknown way");
  }
  stream.rows = message.rows();
  stream.last = Sum(base, message.last());
  stream.pattern = {static_cast<TimeCoding>(message.time_coding()), Sum(base, message.first()),
                    message.time_offset(), message.period(), message.time_planes()};
  stream.times = placer.Place(message.times());
  stream.payload = placer.Place(message.payload());
  return stream;
}

Result<ByteSpan> CheckedBlock(const Block& block, ByteSpan bytes) {
  if (bytes.size() != block.bytes || Crc32c(bytes) != block.crc) {
    return Damaged("the checksum of a block does not match");
  }
  return bytes;
}

// Fills `out`, which was sized by the caller. A run of no bytes has no block at all.
Status Unpack(const Block& block, ByteSpan bytes, Decompressor& decompressor,
              std::vector<std::uint8_t>& out) {
  if (out.empty()) return Status::Ok();
  ASSIGN_OR_RETURN(const ByteSpan checked, CheckedBlock(block, bytes));
  return decompressor.Decompress(block.codec, checked, out);
}

ByteSpan Cut(ByteSpan blocks, const Block& block) {
  return blocks.subspan(block.offset, block.bytes);
}

// One stream while its frames are handed out.
struct Cursor {
  Frame frame;
  const Rows* rows = nullptr;
  std::size_t stride = 0;
  std::size_t row = 0;

  const Frame& Next(Duration resolution) {
    frame.time = FromUnits(rows->times[row], resolution);
    const std::uint8_t* bytes = rows->bytes.data() + row * stride;
    if (stride == 8) {  // nearly always: a copy the compiler knows the size of
      std::copy_n(bytes, 8, frame.data.data());
    } else {
      std::copy_n(bytes, stride, frame.data.data());
    }
    ++row;
    return frame;
  }
};

Cursor CursorOf(const StreamBlock& stream, const Rows& rows) {
  Cursor cursor;
  cursor.frame.channel = stream.key.channel;
  cursor.frame.id = stream.key.id;
  cursor.frame.flags = stream.key.flags;
  cursor.frame.length = stream.key.length;
  cursor.frame.raw_dlc = stream.key.raw_dlc;
  cursor.rows = &rows;
  cursor.stride = StrideOf(stream.key);
  return cursor;
}

}  // namespace

std::uint32_t ChunkBuilder::FindOrAdd(const StreamKey& key) {
  Recent& recent = recent_[(key.id ^ std::uint32_t{key.channel} << 5) % recent_.size()];
  if (recent.number < streams_.size() && recent.key == key) return recent.number;
  const auto [found, added] =
      numbers_.try_emplace(key, static_cast<std::uint32_t>(streams_.size()));
  if (added) streams_.push_back({key, {}});
  recent = {key, found->second};
  return found->second;
}

void ChunkBuilder::Add(const Frame& frame, std::int64_t units) {
  const std::uint32_t number = FindOrAdd(KeyOf(frame));
  Rows& rows = streams_[number].rows;
  rows.times.push_back(units);
  const ByteSpan payload = frame.payload();
  rows.bytes.insert(rows.bytes.end(), payload.begin(), payload.end());
  if (arrival_.empty()) first_ = units;
  last_ = units;
  arrival_.push_back(number);
}

void ChunkBuilder::Clear() {
  streams_.clear();
  recent_.fill({});
  numbers_.clear();
  arrival_.clear();
}

std::vector<std::uint8_t> ChunkBuilder::Encode(std::uint64_t first_frame,
                                               Compressor& compressor) const {
  std::vector<std::uint32_t> sorted_number(streams_.size());
  StreamTimes times;
  for (const auto& [key, number] : numbers_) {
    sorted_number[number] = static_cast<std::uint32_t>(times.size());
    times.emplace_back(streams_[number].rows.times);
  }
  std::vector<std::uint32_t> arrival(arrival_.size());
  for (std::size_t i = 0; i < arrival.size(); ++i) arrival[i] = sorted_number[arrival_[i]];
  const Order order = EncodeOrder(arrival, times);

  BlockWriter writer(compressor);
  format::ChunkDirectory directory;
  directory.set_first_frame(first_frame);
  directory.set_frames(static_cast<std::uint32_t>(arrival.size()));
  directory.set_base_time(first_);
  directory.set_last(Difference(last_, first_));
  directory.set_order_coding(static_cast<std::uint32_t>(order.coding));
  directory.set_order_bytes(static_cast<std::uint32_t>(order.bytes.size()));
  if (!order.bytes.empty()) writer.Put(order.bytes, *directory.mutable_order());
  for (const auto& [key, number] : numbers_) {
    PutStream(key, streams_[number].rows, first_, writer, *directory.add_streams());
  }
  return JoinChunk(directory, writer.bytes());
}

Result<ChunkParts> SplitChunk(ByteSpan payload) {
  google::protobuf::io::CodedInputStream in(payload.data(), static_cast<int>(payload.size()));
  ChunkParts parts;
  const Status no_chunk = Damaged("a chunk does not hold a directory and blocks");
  if (in.ReadTag() != kDirectoryTag || !in.ReadVarint32(&parts.directory_bytes)) return no_chunk;
  parts.directory_offset = static_cast<std::uint32_t>(in.CurrentPosition());
  if (parts.directory_bytes > payload.size() || !in.Skip(static_cast<int>(parts.directory_bytes))) {
    return no_chunk;
  }
  parts.blocks_offset = static_cast<std::uint32_t>(in.CurrentPosition());
  if (parts.blocks_offset == payload.size()) return parts;  // an empty field is not written
  if (in.ReadTag() != kBlocksTag || !in.ReadVarint32(&parts.blocks_bytes)) return no_chunk;
  parts.blocks_offset = static_cast<std::uint32_t>(in.CurrentPosition());
  if (parts.blocks_bytes != payload.size() - parts.blocks_offset) return no_chunk;
  return parts;
}

Result<ChunkDirectory> ParseDirectory(ByteSpan bytes, std::size_t blocks_bytes) {
  google::protobuf::Arena arena;  // many small messages at once
  auto& message = *google::protobuf::Arena::CreateMessage<format::ChunkDirectory>(&arena);
  RETURN_IF_ERROR(Parse(bytes, message));
  ChunkDirectory directory;
  directory.first_frame = message.first_frame();
  directory.frames = message.frames();
  directory.first = Sum(message.base_time(), message.first());
  directory.last = Sum(message.base_time(), message.last());
  directory.order_coding = static_cast<OrderCoding>(message.order_coding());
  directory.order_bytes = message.order_bytes();
  directory.streams.reserve(static_cast<std::size_t>(message.streams_size()));
  BlockPlacer placer(blocks_bytes);
  directory.order = placer.Place(message.order());
  std::uint64_t rows = 0;
  for (const format::StreamBlock& stream : message.streams()) {
    ASSIGN_OR_RETURN(directory.streams.emplace_back(),
                     ParseStream(stream, message.base_time(), placer));
    rows += stream.rows();
    const std::size_t count = directory.streams.size();
    if (count > 1 && !(directory.streams[count - 2].key < directory.streams[count - 1].key)) {
      return Damaged("the streams of a chunk are not sorted");
    }
  }
  if (!placer.ok()) return Damaged("the blocks of a chunk are larger than the chunk");
  if (rows == 0 || rows != directory.frames || rows > kMaxFramesPerChunk ||
      directory.order_bytes > sizeof(std::uint32_t) * rows) {
    return Damaged("the counts of a chunk do not agree");
  }
  return directory;
}

struct ChunkDecoder::Memory {
  Decompressor decompressor;
  std::vector<std::uint8_t> planes;
  std::vector<std::uint64_t> residuals;
  std::vector<Rows> columns;
  std::vector<std::uint8_t> order_bytes;
  OrderBuffers order;
  std::vector<Cursor> cursors;
};

ChunkDecoder::ChunkDecoder() : memory_(std::make_unique<Memory>()) {}
ChunkDecoder::~ChunkDecoder() = default;

Status ChunkDecoder::DecodeStream(const StreamBlock& stream, ByteSpan times, ByteSpan payload,
                                  Rows& rows) {
  std::vector<std::uint64_t>& residuals = memory_->residuals;
  residuals.resize(ResidualCount(stream.pattern.coding, stream.rows));
  std::vector<std::uint8_t>& planes = memory_->planes;
  planes.resize(residuals.size() * stream.pattern.planes);
  RETURN_IF_ERROR(Unpack(stream.times, times, memory_->decompressor, planes));
  FromBytePlanes(planes, stream.pattern.planes, residuals);
  rows.times.resize(stream.rows);
  RebuildTimes(stream.pattern, residuals, rows.times);

  const std::size_t stride = StrideOf(stream.key);
  planes.resize(8 * stride * BitPlaneBytes(stream.rows));
  RETURN_IF_ERROR(Unpack(stream.payload, payload, memory_->decompressor, planes));
  rows.bytes.resize(stream.rows * stride);
  FromXorBitPlanes(planes, stride, rows.bytes);
  return Status::Ok();
}

Result<bool> ChunkDecoder::VisitFrames(const ChunkDirectory& directory, ByteSpan blocks,
                                       Duration resolution,
                                       const std::function<bool(const Frame&)>& visit) {
  std::vector<Rows>& columns = memory_->columns;
  if (columns.size() < directory.streams.size()) columns.resize(directory.streams.size());
  std::vector<Cursor>& cursors = memory_->cursors;
  cursors.clear();
  StreamTimes times;
  for (std::size_t i = 0; i < directory.streams.size(); ++i) {
    const StreamBlock& stream = directory.streams[i];
    RETURN_IF_ERROR(
        DecodeStream(stream, Cut(blocks, stream.times), Cut(blocks, stream.payload), columns[i]));
    times.emplace_back(columns[i].times);
    cursors.push_back(CursorOf(stream, columns[i]));
  }
  memory_->order_bytes.resize(directory.order_bytes);
  RETURN_IF_ERROR(Unpack(directory.order, Cut(blocks, directory.order), memory_->decompressor,
                         memory_->order_bytes));
  RETURN_IF_ERROR(DecodeOrder(directory.order_coding, memory_->order_bytes, times, memory_->order));
  for (const std::uint32_t stream : memory_->order.order) {
    if (!visit(cursors[stream].Next(resolution))) return false;
  }
  return true;
}

}  // namespace proofdrive::session
