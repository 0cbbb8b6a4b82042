#include "session/chunk/chunk_builder.h"

#include <algorithm>
#include <cstring>

#include <google/protobuf/arena.h>

#include "core/digests/crc32c.h"
#include "session/chunk/chunk_directory.h"
#include "session/chunk/order.h"
#include "session/chunk/planes.h"
#include "session/chunk/predicted_byte.h"
#include "session/chunk/times.h"
#include "session/file/convert.h"
#include "session/file/wire.h"

namespace proofdrive::session {
namespace {

std::int64_t Difference(std::int64_t value, std::int64_t base) {
  return static_cast<std::int64_t>(static_cast<std::uint64_t>(value) -
                                   static_cast<std::uint64_t>(base));
}

// A copy of up to 64 bytes; nearly always 8, whose size the compiler then knows. Of none when
// `count` is 0: `to` may be null then.
void CopyPayload(const std::uint8_t* from, std::size_t count, std::uint8_t* to) {
  if (count == 8) {
    std::memcpy(to, from, 8);
  } else {
    std::copy_n(from, count, to);
  }
}

// All that makes a stream in one number.
std::uint64_t Packed(const Frame& frame) {
  return std::uint64_t{frame.id} << 32 | std::uint64_t{frame.channel} |
         std::uint64_t{frame.flags} << 8 | std::uint64_t{frame.length} << 16 |
         std::uint64_t{frame.raw_dlc} << 24;
}
// 2^64 divided by the golden ratio: the upper bits of the product spread neighbouring keys.
constexpr std::uint64_t kSpread = 0x9E3779B97F4A7C15;

// Appends blocks and describes them.
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

// The columns of one stream.
struct Rows {
  std::span<const std::int64_t> times;
  std::span<std::uint8_t> bytes;
};

// Takes a checksum out of the rows.
void PutPayload(const Rows& rows, std::size_t stride, BlockWriter& writer,
                format::StreamBlock& message) {
  const PredictedByte predicted = FindPredictedByte(rows.bytes, stride);
  if (predicted.kind != PredictionKind::kNone) {
    CombineWithPrediction(predicted, stride, rows.bytes);
    format::Prediction& prediction = *message.mutable_prediction();
    prediction.set_kind(static_cast<std::uint32_t>(predicted.kind));
    prediction.set_byte(predicted.byte);
    prediction.set_polynomial(predicted.polynomial);
    prediction.set_constant(predicted.constant);
  }
  writer.Put(ToXorBitPlanes(rows.bytes, stride), *message.mutable_payload());
}

void PutStream(const StreamKey& key, const Rows& rows, std::int64_t base, BlockWriter& writer,
               format::StreamBlock& message) {
  std::vector<std::uint64_t> residuals;
  const TimePattern pattern = FitTimes(rows.times, residuals);
  SetMessage(key, *message.mutable_key());
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
  if (!rows.bytes.empty()) PutPayload(rows, StrideOf(key), writer, message);
}

// A serialized format::Chunk, without copying the blocks through a message.
std::vector<std::uint8_t> JoinChunk(const format::ChunkDirectory& directory, ByteSpan blocks) {
  const std::vector<std::uint8_t> head = Serialize(directory);
  std::vector<std::uint8_t> chunk;
  chunk.reserve(head.size() + blocks.size() + 16);
  const auto put = [&](std::uint32_t field, ByteSpan bytes) {
    AppendVarint(TagOf(field, WireType::kBytes), chunk);
    AppendVarint(bytes.size(), chunk);
    chunk.insert(chunk.end(), bytes.begin(), bytes.end());
  };
  put(format::Chunk::kDirectoryFieldNumber, head);
  if (!blocks.empty()) put(format::Chunk::kBlocksFieldNumber, blocks);
  return chunk;
}

}  // namespace

std::uint32_t ChunkBuilder::NumberOf(const Frame& frame) {
  const std::uint64_t key = Packed(frame);
  Recent& recent = recent_[(key * kSpread) >> (64 - kRecentBits)];
  if (recent.key != key) recent = {key, FindOrAdd(KeyOf(frame))};
  return recent.number;
}

std::uint32_t ChunkBuilder::FindOrAdd(const StreamKey& key) {
  const auto [found, added] =
      numbers_.try_emplace(key, static_cast<std::uint32_t>(streams_.size()));
  if (added) streams_.push_back({key, 0});
  return found->second;
}

void ChunkBuilder::Add(const Frame& frame, std::int64_t units) {
  const std::uint32_t number = NumberOf(frame);
  ++streams_[number].rows;
  arrivals_.push_back({units, number});
  AppendPayload(frame.payload());
}

void ChunkBuilder::AppendPayload(ByteSpan payload) {
  if (bytes_.size() - bytes_used_ < payload.size()) {
    bytes_.resize(std::max<std::size_t>(4096, 2 * bytes_.size()));
  }
  CopyPayload(payload.data(), payload.size(), bytes_.data() + bytes_used_);
  bytes_used_ += payload.size();
}

void ChunkBuilder::Clear() {
  streams_.clear();
  recent_.fill({});
  numbers_.clear();
  arrivals_.clear();
  bytes_used_ = 0;
}

// Every frame goes behind those of its stream that came before it.
void ChunkBuilder::SortIntoColumns() {
  struct Place {
    std::uint32_t stream = 0;  // in the order of keys
    std::size_t stride = 0;
    std::size_t row = 0;
    std::size_t byte = 0;
  };
  std::vector<Place> places(streams_.size());
  Place next;
  for (const auto& [key, number] : numbers_) {
    next.stride = StrideOf(key);
    places[number] = next;
    ++next.stream;
    next.row += streams_[number].rows;
    next.byte += streams_[number].rows * next.stride;
  }
  columns_.times.resize(next.row);
  columns_.bytes.resize(next.byte);
  columns_.arrival.resize(next.row);
  const std::uint8_t* payload = bytes_.data();
  for (std::size_t i = 0; i < arrivals_.size(); ++i) {
    Place& place = places[arrivals_[i].stream];
    columns_.arrival[i] = place.stream;
    columns_.times[place.row++] = arrivals_[i].time;
    CopyPayload(payload, place.stride, columns_.bytes.data() + place.byte);
    place.byte += place.stride;
    payload += place.stride;
  }
}

std::vector<std::uint8_t> ChunkBuilder::Encode(std::uint64_t first_frame, Compressor& compressor) {
  SortIntoColumns();
  std::vector<Rows> rows;
  StreamTimes times;
  std::span<const std::int64_t> times_left = columns_.times;
  std::span<std::uint8_t> bytes_left = columns_.bytes;
  for (const auto& [key, number] : numbers_) {
    const std::size_t count = streams_[number].rows;
    const std::size_t bytes = count * StrideOf(key);
    rows.push_back({times_left.first(count), bytes_left.first(bytes)});
    times.push_back(rows.back().times);
    times_left = times_left.subspan(count);
    bytes_left = bytes_left.subspan(bytes);
  }
  const Order order = EncodeOrder(columns_.arrival, times);

  BlockWriter writer(compressor);
  google::protobuf::Arena arena;  // many small messages at once
  auto& directory = *google::protobuf::Arena::CreateMessage<format::ChunkDirectory>(&arena);
  directory.set_first_frame(first_frame);
  directory.set_frames(static_cast<std::uint32_t>(frames()));
  directory.set_base_time(first());
  directory.set_last(Difference(last(), first()));
  directory.set_order_coding(static_cast<std::uint32_t>(order.coding));
  directory.set_order_bytes(static_cast<std::uint32_t>(order.bytes.size()));
  if (!order.bytes.empty()) writer.Put(order.bytes, *directory.mutable_order());
  auto next = rows.begin();
  for (const auto& [key, number] : numbers_) {
    PutStream(key, *next++, first(), writer, *directory.add_streams());
  }
  return JoinChunk(directory, writer.bytes());
}

}  // namespace proofdrive::session
