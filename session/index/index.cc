#include "session/index/index.h"

#include <algorithm>

#include "core/digests/crc32c.h"
#include "session/chunk/chunk_directory.h"
#include "session/file/convert.h"

namespace proofdrive::session {
namespace {

void ToMessage(const ChunkPlace& place, format::ChunkPlace& message) {
  message.set_offset(place.offset);
  message.set_record_bytes(place.record_bytes);
  message.set_directory_offset(place.directory_offset);
  message.set_directory_bytes(place.directory_bytes);
  message.set_directory_crc(place.directory_crc);
  message.set_blocks_offset(place.blocks_offset);
  message.set_first_frame(place.first_frame);
  message.set_frames(place.frames);
  message.set_first_time(place.first_time);
  message.set_last_time(place.last_time);
}

ChunkPlace FromMessage(const format::ChunkPlace& message) {
  return {message.offset(),          message.record_bytes(),  message.directory_offset(),
          message.directory_bytes(), message.directory_crc(), message.blocks_offset(),
          message.first_frame(),     message.frames(),        message.first_time(),
          message.last_time()};
}

void ToMessages(const std::vector<Gap>& ranges,
                google::protobuf::RepeatedPtrField<format::Range>* messages) {
  for (const Gap& range : ranges) {
    format::Range* message = messages->Add();
    message->set_offset(range.offset);
    message->set_bytes(range.bytes);
  }
}

std::vector<Gap> FromMessages(const google::protobuf::RepeatedPtrField<format::Range>& messages) {
  std::vector<Gap> ranges;
  for (const format::Range& message : messages)
    ranges.push_back({message.offset(), message.bytes()});
  return ranges;
}

bool Fits(const ChunkPlace& place, std::uint64_t end) {
  const std::uint64_t directory_end = std::uint64_t{place.directory_offset} + place.directory_bytes;
  return place.offset <= end && place.record_bytes <= end - place.offset &&
         place.record_bytes <= kRecordHeaderBytes + kMaxRecordBytes &&
         directory_end <= place.blocks_offset && place.blocks_offset <= place.record_bytes &&
         place.frames <= kMaxFramesPerChunk;
}

Status Nonsense() { return Status(ErrorKind::kCorrupt, "the index at the end makes no sense"); }

}  // namespace

void StreamTotal::Add(std::uint64_t count, std::int64_t first_time, std::int64_t last_time) {
  if (frames == 0) first = first_time;
  last = last_time;
  frames += count;
}

Status Index::AddChunk(std::uint64_t offset, ByteSpan payload) {
  ASSIGN_OR_RETURN(const ChunkParts parts, SplitChunk(payload));
  const ByteSpan bytes = payload.subspan(parts.directory_offset, parts.directory_bytes);
  ASSIGN_OR_RETURN(const ChunkDirectory directory, ParseDirectory(bytes, parts.blocks_bytes));
  ChunkPlace place;
  place.offset = offset;
  place.record_bytes = static_cast<std::uint32_t>(kRecordHeaderBytes + payload.size());
  place.directory_offset = static_cast<std::uint32_t>(kRecordHeaderBytes) + parts.directory_offset;
  place.directory_bytes = parts.directory_bytes;
  place.directory_crc = Crc32c(bytes);
  place.blocks_offset = static_cast<std::uint32_t>(kRecordHeaderBytes) + parts.blocks_offset;
  place.first_frame = directory.first_frame;
  place.frames = directory.frames;
  place.first_time = directory.first;
  place.last_time = directory.last;
  chunks.push_back(place);
  for (const StreamBlock& stream : directory.streams) {
    streams[stream.key].Add(stream.rows, stream.pattern.first, stream.last);
  }
  total.frames = place.end_frame();
  return Status::Ok();
}

std::vector<std::uint8_t> FooterBytes(const Index& index, ByteSpan header, std::uint64_t offset,
                                      std::uint32_t salt) {
  format::Footer message;
  message.mutable_header()->ParseFromArray(header.data(), static_cast<int>(header.size()));
  message.set_frames(index.total.frames);
  message.set_events(index.total.events);
  for (const ChunkPlace& place : index.chunks) ToMessage(place, *message.add_chunks());
  ToMessages(index.notes, message.mutable_notes());
  ToMessages(index.abandoned, message.mutable_abandoned());
  for (const auto& [key, total] : index.streams) {
    format::StreamTotal* stream = message.add_streams();
    SetMessage(key, *stream->mutable_key());
    stream->set_frames(total.frames);
    stream->set_first_time(total.first);
    stream->set_last_time(total.last);
  }
  std::vector<std::uint8_t> bytes;
  PutRecord(RecordType::kFooter, Serialize(message), salt, bytes);
  std::vector<std::uint8_t> trailer;
  ByteWriter writer(trailer);
  writer.PutBytes(kTrailerMagic);
  writer.Put(offset);
  writer.Put(Crc32c(trailer));
  bytes.insert(bytes.end(), trailer.begin(), trailer.end());
  return bytes;
}

Result<Footer> ParseFooter(ByteSpan payload, std::uint64_t offset, MemoryBudget& budget) {
  format::Footer message;
  RETURN_IF_ERROR(Parse(payload, message, budget));
  Footer footer;
  footer.header = Serialize(message.header());
  footer.index.total = {message.frames(), message.events()};
  std::uint64_t end = 0;
  for (const format::ChunkPlace& chunk : message.chunks()) {
    const ChunkPlace place = FromMessage(chunk);
    if (place.offset < end || !Fits(place, offset)) return Nonsense();
    end = place.end();
    footer.index.chunks.push_back(place);
  }
  footer.index.notes = FromMessages(message.notes());
  footer.index.abandoned = FromMessages(message.abandoned());
  for (const format::StreamTotal& stream : message.streams()) {
    ASSIGN_OR_RETURN(const StreamKey key, FromMessage(stream.key()));
    footer.index.streams[key] = {stream.frames(), stream.first_time(), stream.last_time()};
  }
  return footer;
}

Result<std::uint64_t> ReadTrailer(FileWindow& window) {
  const Status none(ErrorKind::kCorrupt, "the file does not end as a complete session does");
  if (window.end() < kPreambleBytes + kTrailerBytes) return none;
  ASSIGN_OR_RETURN(const ByteSpan bytes, window.Get(window.end() - kTrailerBytes, kTrailerBytes));
  if (bytes.size() < kTrailerBytes ||
      !std::equal(kTrailerMagic.begin(), kTrailerMagic.end(), bytes.begin())) {
    return none;
  }
  ByteReader reader(bytes.subspan(kTrailerMagic.size()));
  const auto offset = reader.Get<std::uint64_t>();
  const auto crc = reader.Get<std::uint32_t>();
  const bool good = Crc32c(bytes.first(kTrailerBytes - sizeof(crc))) == crc &&
                    offset >= kPreambleBytes && offset <= window.end() - kTrailerBytes;
  return good ? Result<std::uint64_t>(offset) : none;
}

}  // namespace proofdrive::session
