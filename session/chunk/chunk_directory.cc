#include "session/chunk/chunk_directory.h"

#include "session/file/wire.h"

namespace proofdrive::session {
namespace {

Status Damaged(const char* why) { return Status(ErrorKind::kCorrupt, why); }

// A directory has hundreds of small messages and is read for every stream that is asked for, so it
// is taken in by hand. Field numbers are those of session.proto.

Block ReadBlock(ByteSpan bytes, bool& ok) {
  WireReader reader(bytes);
  Block block;
  while (reader.Next()) {
    switch (reader.field()) {
      case 1:
        block.bytes = reader.Number32();
        break;
      case 2:
        block.codec = static_cast<Codec>(reader.Number32());
        break;
      case 3:
        block.crc = reader.Fixed32();
        break;
      default:
        reader.Skip();
    }
  }
  ok = ok && reader.ok();
  return block;
}

// Not ok when a value is too large for its byte.
PredictedByte ReadPrediction(ByteSpan bytes, bool& ok) {
  WireReader reader(bytes);
  PredictedByte predicted;
  while (reader.Next()) {
    switch (reader.field()) {
      case 1:
        predicted.kind = static_cast<PredictionKind>(reader.Number32());
        break;
      case 2:
        predicted.byte = reader.Byte();
        break;
      case 3:
        predicted.polynomial = reader.Byte();
        break;
      case 4:
        predicted.constant = reader.Byte();
        break;
      default:
        reader.Skip();
    }
  }
  ok = ok && reader.ok();
  return predicted;
}

// False when no frame can have this key.
bool ReadKey(ByteSpan bytes, StreamKey& key) {
  WireReader reader(bytes);
  Frame frame;
  while (reader.Next()) {
    switch (reader.field()) {
      case 1:
        frame.channel = reader.Byte();
        break;
      case 2:
        frame.id = reader.Number32();
        break;
      case 3:
        frame.flags = reader.Byte();
        break;
      case 4:
        frame.length = reader.Byte();
        break;
      case 5:
        frame.raw_dlc = reader.Byte();
        break;
      default:
        reader.Skip();
    }
  }
  key = KeyOf(frame);
  return reader.ok() && Validate(frame).ok();
}

// One stream as it stands in the directory: times relative to the base, blocks without a place.
bool ReadStream(ByteSpan bytes, StreamBlock& stream) {
  WireReader reader(bytes);
  bool ok = true;
  while (reader.Next()) {
    switch (reader.field()) {
      case 1:
        ok = ReadKey(reader.Bytes(), stream.key) && ok;
        break;
      case 2:
        stream.rows = reader.Number32();
        break;
      case 3:
        stream.pattern.first = reader.Signed();
        break;
      case 4:
        stream.last = reader.Signed();
        break;
      case 5:
        stream.pattern.coding = static_cast<TimeCoding>(reader.Number32());
        break;
      case 6:
        stream.pattern.offset = reader.Signed();
        break;
      case 7:
        stream.pattern.period = reader.Number();
        break;
      case 8:
        stream.pattern.planes = reader.Number32();
        break;
      case 9:
        stream.times = ReadBlock(reader.Bytes(), ok);
        break;
      case 10:
        stream.payload = ReadBlock(reader.Bytes(), ok);
        break;
      case 11:
        stream.predicted = ReadPrediction(reader.Bytes(), ok);
        break;
      default:
        reader.Skip();
    }
  }
  return ok && reader.ok();
}

std::int64_t Sum(std::int64_t base, std::int64_t offset) {
  return static_cast<std::int64_t>(static_cast<std::uint64_t>(base) +
                                   static_cast<std::uint64_t>(offset));
}

// Walks over a directory whose fields are in the order of their numbers, as they are written.
class DirectoryReader {
 public:
  DirectoryReader(ByteSpan bytes, std::size_t blocks_bytes)
      : reader_(bytes), blocks_left_(blocks_bytes) {}

  // Everything before the first stream. False when there is no stream.
  bool ReadHead(ChunkDirectory& directory) {
    while (reader_.Next()) {
      switch (reader_.field()) {
        case 1:
          directory.first_frame = reader_.Number();
          break;
        case 2:
          directory.frames = reader_.Number32();
          break;
        case 3:
          base_ = reader_.Signed();
          break;
        case 4:
          directory.first = reader_.Signed();
          break;
        case 5:
          directory.last = reader_.Signed();
          break;
        case 6:
          directory.order_coding = static_cast<OrderCoding>(reader_.Number32());
          break;
        case 7:
          directory.order_bytes = reader_.Number32();
          break;
        case 8:
          directory.order = ReadBlock(reader_.Bytes(), ok_);
          break;
        case kStreams:
          directory.first = Sum(base_, directory.first);
          directory.last = Sum(base_, directory.last);
          Place(directory.order);
          return true;
        default:
          reader_.Skip();
      }
    }
    return false;
  }

  // The next stream, after a head was read. False after the last and when something is wrong.
  bool ReadStreamTo(StreamBlock& stream) {
    while (more_ && reader_.field() != kStreams) {
      if (reader_.field() < kStreams) return ok_ = false;
      reader_.Skip();
      more_ = reader_.Next();
    }
    if (!more_) return false;
    stream = {};
    ok_ = ReadStream(reader_.Bytes(), stream) && ok_;
    stream.pattern.first = Sum(base_, stream.pattern.first);
    stream.last = Sum(base_, stream.last);
    Place(stream.times);
    Place(stream.payload);
    more_ = reader_.Next();
    return ok_;
  }

  bool ok() const { return ok_ && reader_.ok(); }

 private:
  static constexpr std::uint32_t kStreams = 9;

  void Place(Block& block) {
    ok_ = ok_ && block.bytes <= blocks_left_;
    if (!ok_) return;
    block.offset = offset_;
    blocks_left_ -= block.bytes;
    offset_ += block.bytes;
  }

  WireReader reader_;
  std::size_t blocks_left_;
  std::uint32_t offset_ = 0;
  std::int64_t base_ = 0;
  bool more_ = true;
  bool ok_ = true;
};

Status CheckStream(const StreamBlock& stream) {
  if (stream.rows == 0 || stream.rows > kMaxFramesPerChunk) {
    return Damaged("a stream of a chunk has an absurd number of frames");
  }
  if (stream.pattern.coding > TimeCoding::kGrid || stream.pattern.planes > sizeof(std::uint64_t)) {
    return Damaged("the times of a stream are stored in an unknown way");
  }
  const PredictedByte& predicted = stream.predicted;
  if (predicted.kind > PredictionKind::kCrc8 ||
      (predicted.kind != PredictionKind::kNone && predicted.byte >= StrideOf(stream.key))) {
    return Damaged("the payload of a stream is stored in an unknown way");
  }
  return Status::Ok();
}

Status NoDirectory() { return Damaged("the directory of a chunk makes no sense"); }

}  // namespace

Result<ChunkParts> SplitChunk(ByteSpan payload) {
  WireReader reader(payload);
  const Status no_chunk = Damaged("a chunk does not hold a directory and blocks");
  const auto offset_of = [&](ByteSpan part) {
    return static_cast<std::uint32_t>(part.data() - payload.data());
  };
  if (!reader.Next() || reader.field() != 1) return no_chunk;
  const ByteSpan directory = reader.Bytes();
  if (!reader.ok()) return no_chunk;
  ChunkParts parts;
  parts.directory_offset = offset_of(directory);
  parts.directory_bytes = static_cast<std::uint32_t>(directory.size());
  parts.blocks_offset = parts.directory_offset + parts.directory_bytes;
  if (parts.blocks_offset == payload.size()) return parts;  // an empty field is not written
  if (!reader.Next() || reader.field() != 2) return no_chunk;
  const ByteSpan blocks = reader.Bytes();
  if (!reader.ok()) return no_chunk;
  parts.blocks_offset = offset_of(blocks);
  parts.blocks_bytes = static_cast<std::uint32_t>(blocks.size());
  if (parts.blocks_bytes != payload.size() - parts.blocks_offset) return no_chunk;
  return parts;
}

Result<ChunkDirectory> ParseDirectory(ByteSpan bytes, std::size_t blocks_bytes) {
  DirectoryReader reader(bytes, blocks_bytes);
  ChunkDirectory directory;
  if (!reader.ReadHead(directory)) return NoDirectory();
  std::uint64_t rows = 0;
  for (StreamBlock stream; reader.ReadStreamTo(stream);) {
    RETURN_IF_ERROR(CheckStream(stream));
    rows += stream.rows;
    if (!directory.streams.empty() && !(directory.streams.back().key < stream.key)) {
      return Damaged("the streams of a chunk are not sorted");
    }
    directory.streams.push_back(stream);
  }
  if (!reader.ok()) return NoDirectory();
  if (rows != directory.frames || rows > kMaxFramesPerChunk ||
      directory.order_bytes > sizeof(std::uint32_t) * rows) {
    return Damaged("the counts of a chunk do not agree");
  }
  return directory;
}

Result<std::vector<StreamBlock>> FindStreams(ByteSpan directory, std::size_t blocks_bytes,
                                             std::span<const StreamKey> sorted) {
  DirectoryReader reader(directory, blocks_bytes);
  ChunkDirectory head;
  if (!reader.ReadHead(head)) return NoDirectory();
  std::vector<StreamBlock> found;
  auto wanted = sorted.begin();
  for (StreamBlock stream; wanted != sorted.end() && reader.ReadStreamTo(stream);) {
    while (wanted != sorted.end() && *wanted < stream.key) ++wanted;
    if (wanted == sorted.end() || *wanted != stream.key) continue;
    RETURN_IF_ERROR(CheckStream(stream));
    found.push_back(stream);
    ++wanted;
  }
  if (!reader.ok()) return NoDirectory();
  return found;
}

}  // namespace proofdrive::session
