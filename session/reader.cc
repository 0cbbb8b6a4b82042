#include "session/reader.h"

#include <algorithm>
#include <set>

#include "core/base/crc32c.h"
#include "core/base/text.h"
#include "session/chunk.h"
#include "session/contents.h"

namespace proofdrive::session {
namespace {

bool IsDamage(const Status& status) {
  return status.kind() == ErrorKind::kCorrupt || status.kind() == ErrorKind::kTruncated;
}

class FileReader : public Reader {
 public:
  explicit FileReader(Contents contents) : contents_(std::move(contents)) {
    std::map<StreamKey, StreamTotal> totals = contents_.index.streams;
    for (const Frame& frame : contents_.journal_frames) {
      const std::int64_t units = ToUnits(frame.time, header().resolution);
      totals[KeyOf(frame)].Add(1, units, units);
    }
    for (const auto& [key, total] : totals) {
      streams_.push_back({key, total.frames, Wall(total.first), Wall(total.last)});
      frame_count_ += total.frames;
    }
  }

  const Header& header() const override { return contents_.header; }
  State state() const override { return contents_.state; }
  const std::vector<Event>& events() const override { return contents_.events; }
  const std::vector<StreamInfo>& streams() const override { return streams_; }
  std::uint64_t frame_count() const override { return frame_count_; }
  std::uint64_t file_bytes() const override { return contents_.file_bytes; }
  const std::vector<Loss>& losses() const override { return contents_.losses; }

  WallTime first_time() const override {
    if (!contents_.index.chunks.empty()) return Wall(contents_.index.chunks.front().first_time);
    return contents_.journal_frames.empty() ? WallTime{} : contents_.journal_frames.front().time;
  }
  WallTime last_time() const override {
    if (!contents_.journal_frames.empty()) return contents_.journal_frames.back().time;
    return contents_.index.chunks.empty() ? WallTime{}
                                          : Wall(contents_.index.chunks.back().last_time);
  }

  Status ForEachFrame(const std::function<bool(const Frame&)>& visit) override {
    for (std::size_t i = 0; i < contents_.index.chunks.size(); ++i) {
      const Result<bool> more = VisitChunk(i, visit);
      if (!more.ok()) {
        if (!IsDamage(more.status())) return more.status();
        AddChunkLoss(i, more.status());
      } else if (!*more) {
        return Status::Ok();
      }
    }
    for (const Frame& frame : contents_.journal_frames) {
      if (!visit(frame)) break;
    }
    return Status::Ok();
  }

  Result<Column> ReadStream(const StreamKey& key) override {
    const auto found = std::lower_bound(
        streams_.begin(), streams_.end(), key,
        [](const StreamInfo& stream, const StreamKey& wanted) { return stream.key < wanted; });
    if (found == streams_.end() || found->key != key) {
      return Status(ErrorKind::kNotFound, "the session has no frame " +
                                              FormatId(key.id, key.flags) +
                                              " of this kind and length on this channel");
    }
    Column column;
    column.key = key;
    for (std::size_t i = 0; i < contents_.index.chunks.size(); ++i) {
      const Status status = AppendRows(contents_.index.chunks[i], column);
      if (status.ok()) continue;
      if (!IsDamage(status)) return status;
      AddChunkLoss(i, status);
    }
    AppendJournalRows(column);
    return column;
  }

 private:
  WallTime Wall(std::int64_t units) const { return FromUnits(units, header().resolution); }

  Result<std::vector<std::uint8_t>> ReadExactly(std::uint64_t offset, std::size_t count) {
    ASSIGN_OR_RETURN(std::vector<std::uint8_t> bytes, contents_.file->Read(offset, count));
    if (bytes.size() == count) return bytes;
    return Status(ErrorKind::kTruncated, "the file is shorter than its index says");
  }

  // The directory of a chunk, checked.
  Result<ChunkDirectory> Directory(const ChunkPlace& place, ByteSpan bytes) {
    if (Crc32c(bytes) != place.directory_crc) {
      return Status(ErrorKind::kCorrupt, "checksum does not match");
    }
    return ParseDirectory(bytes, place.record_bytes - place.blocks_offset);
  }

  Result<bool> VisitChunk(std::size_t number, const std::function<bool(const Frame&)>& visit) {
    const ChunkPlace& place = contents_.index.chunks[number];
    ASSIGN_OR_RETURN(const std::vector<std::uint8_t> record,
                     ReadExactly(place.offset, place.record_bytes));
    const ByteSpan bytes(record);
    ASSIGN_OR_RETURN(
        const ChunkDirectory directory,
        Directory(place, bytes.subspan(place.directory_offset, place.directory_bytes)));
    return decoder_.VisitFrames(directory, bytes.subspan(place.blocks_offset), header().resolution,
                                visit);
  }

  Status AppendRows(const ChunkPlace& place, Column& column) {
    ASSIGN_OR_RETURN(const std::vector<std::uint8_t> bytes,
                     ReadExactly(place.offset + place.directory_offset, place.directory_bytes));
    ASSIGN_OR_RETURN(const ChunkDirectory directory, Directory(place, bytes));
    for (const StreamBlock& stream : directory.streams) {
      if (stream.key == column.key) return AppendStream(place, stream, column);
    }
    return Status::Ok();
  }

  // The two blocks of a stream lie side by side: one read.
  Status AppendStream(const ChunkPlace& place, const StreamBlock& stream, Column& column) {
    const std::size_t first = stream.times.bytes;
    ASSIGN_OR_RETURN(const std::vector<std::uint8_t> bytes,
                     ReadExactly(place.offset + place.blocks_offset + stream.times.offset,
                                 first + stream.payload.bytes));
    Rows rows;
    RETURN_IF_ERROR(decoder_.DecodeStream(stream, ByteSpan(bytes).first(first),
                                          ByteSpan(bytes).subspan(first), rows));
    for (const std::int64_t units : rows.times) column.times.push_back(Wall(units));
    column.bytes.insert(column.bytes.end(), rows.bytes.begin(), rows.bytes.end());
    return Status::Ok();
  }

  void AppendJournalRows(Column& column) const {
    for (const Frame& frame : contents_.journal_frames) {
      if (KeyOf(frame) != column.key) continue;
      column.times.push_back(frame.time);
      const ByteSpan payload = frame.payload();
      column.bytes.insert(column.bytes.end(), payload.begin(), payload.end());
    }
  }

  void AddChunkLoss(std::size_t number, const Status& status) {
    if (!damaged_chunks_.insert(number).second) return;
    const ChunkPlace& place = contents_.index.chunks[number];
    if (contents_.state != State::kRecording) contents_.state = State::kDamaged;
    contents_.losses.push_back(
        {Loss::Severity::kDataLoss, place.offset, place.record_bytes,
         "chunk " + std::to_string(number + 1) + ": " + status.message() + "; " +
             FormatCount(place.frames) + (place.frames == 1 ? " frame" : " frames") +
             " cannot be read",
         "the rest can be read; `proofdrive recover` makes a complete session of it"});
  }

  Contents contents_;
  std::vector<StreamInfo> streams_;
  std::uint64_t frame_count_ = 0;
  ChunkDecoder decoder_;
  std::set<std::size_t> damaged_chunks_;
};

}  // namespace

Result<std::unique_ptr<Reader>> Reader::Open(Files& files, const std::string& path) {
  ASSIGN_OR_RETURN(Contents contents, LoadContents(files, path));
  return std::unique_ptr<Reader>(std::make_unique<FileReader>(std::move(contents)));
}

}  // namespace proofdrive::session
