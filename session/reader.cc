#include "session/reader.h"

#include <algorithm>
#include <functional>
#include <mutex>
#include <set>
#include <thread>

#include "core/base/text.h"
#include "core/digests/crc32c.h"
#include "session/chunk/chunk_directory.h"
#include "session/chunk/chunk_feed.h"
#include "session/chunk/frame_batches.h"
#include "session/index/contents.h"

namespace proofdrive::session {
namespace {

bool IsDamage(const Status& status) {
  return status.kind() == ErrorKind::kCorrupt || status.kind() == ErrorKind::kTruncated;
}

using Units = std::vector<std::int64_t>;

// A damaged file may claim any number; beyond this a column grows as rows are really found.
constexpr std::uint64_t kMaxExpectedRows = std::uint64_t{1} << 20;

std::ptrdiff_t Signed(std::size_t count) { return static_cast<std::ptrdiff_t>(count); }

unsigned UsualThreads() { return std::clamp(std::thread::hardware_concurrency(), 1U, 4U); }

class FileReader : public Reader {
 public:
  FileReader(Contents contents, ReaderOptions options)
      : contents_(std::move(contents)), options_(options) {
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

  Status ForEachBatch(const BatchVisitor& visit) override {
    const std::size_t chunks = contents_.index.chunks.size();
    const auto threads = static_cast<unsigned>(std::min<std::size_t>(options_.threads, chunks));
    const auto load = [this](std::size_t number, ChunkDecoder& decoder, ChunkFrames& frames) {
      return LoadChunk(number, decoder, frames);
    };
    ChunkFeed feed(load, chunks, std::max(1U, threads));
    for (std::size_t i = 0; i < chunks; ++i) {
      const Result<const ChunkFrames*> frames = feed.Next();
      if (frames.ok()) {
        if (!batches_.HandOut(**frames, header().resolution, visit)) return Status::Ok();
      } else {
        if (!IsDamage(frames.status())) return frames.status();
        AddChunkLoss(i, frames.status());
      }
    }
    if (!contents_.journal_frames.empty()) visit(contents_.journal_frames);
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
    const auto expected = static_cast<std::size_t>(std::min(found->frames, kMaxExpectedRows));
    column.times.reserve(expected);
    column.bytes.reserve(expected * column.stride());
    Units times;  // working memory
    for (std::size_t i = 0; i < contents_.index.chunks.size(); ++i) {
      const Status status = AppendRows(contents_.index.chunks[i], times, column);
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
    const std::lock_guard lock(file_mutex_);
    ASSIGN_OR_RETURN(std::vector<std::uint8_t> bytes, contents_.file->Read(offset, count));
    if (bytes.size() == count) return bytes;
    return Status(ErrorKind::kTruncated, "the file is shorter than its index says");
  }

  static Status CheckDirectory(const ChunkPlace& place, ByteSpan directory) {
    if (Crc32c(directory) == place.directory_crc) return Status::Ok();
    return Status(ErrorKind::kCorrupt, "checksum does not match");
  }

  // Called from several threads at once.
  Status LoadChunk(std::size_t number, ChunkDecoder& decoder, ChunkFrames& frames) {
    const ChunkPlace& place = contents_.index.chunks[number];
    ASSIGN_OR_RETURN(const std::vector<std::uint8_t> record,
                     ReadExactly(place.offset, place.record_bytes));
    const ByteSpan bytes(record);
    const ByteSpan head = bytes.subspan(place.directory_offset, place.directory_bytes);
    RETURN_IF_ERROR(CheckDirectory(place, head));
    const ByteSpan blocks = bytes.subspan(place.blocks_offset);
    ASSIGN_OR_RETURN(const ChunkDirectory directory, ParseDirectory(head, blocks.size()));
    return decoder.DecodeAll(directory, blocks, frames);
  }

  Status AppendRows(const ChunkPlace& place, Units& rows, Column& column) {
    ASSIGN_OR_RETURN(const std::vector<std::uint8_t> head,
                     ReadExactly(place.offset + place.directory_offset, place.directory_bytes));
    RETURN_IF_ERROR(CheckDirectory(place, head));
    ASSIGN_OR_RETURN(const auto stream,
                     FindStream(head, place.record_bytes - place.blocks_offset, column.key));
    return stream ? AppendStream(place, *stream, rows, column) : Status::Ok();
  }

  // The two blocks of a stream lie side by side: one read.
  Status AppendStream(const ChunkPlace& place, const StreamBlock& stream, Units& times,
                      Column& column) {
    RETURN_IF_ERROR(CheckRoom(column, stream.rows));
    const std::size_t first = stream.times.bytes;
    ASSIGN_OR_RETURN(const std::vector<std::uint8_t> bytes,
                     ReadExactly(place.offset + place.blocks_offset + stream.times.offset,
                                 first + stream.payload.bytes));
    const std::size_t bytes_before = column.bytes.size();
    times.resize(stream.rows);
    column.bytes.resize(bytes_before + stream.rows * column.stride());
    const Status status =
        decoder_.DecodeStream(stream, ByteSpan(bytes).first(first), ByteSpan(bytes).subspan(first),
                              times, std::span(column.bytes).subspan(bytes_before));
    if (!status.ok()) {
      column.bytes.resize(bytes_before);
      return status;
    }
    const std::size_t rows_before = column.times.size();
    column.times.resize(rows_before + stream.rows);
    std::transform(times.begin(), times.end(), column.times.begin() + Signed(rows_before),
                   [this](std::int64_t units) { return Wall(units); });
    return Status::Ok();
  }

  Status CheckRoom(const Column& column, std::size_t more_rows) const {
    const std::size_t rows = column.times.size() + more_rows;
    if (rows * (sizeof(WallTime) + column.stride()) <= options_.most_column_bytes) {
      return Status::Ok();
    }
    return Status(ErrorKind::kInvalidArgument,
                  "the frames " + FormatId(column.key.id, column.key.flags) + " take more than " +
                      FormatCount(options_.most_column_bytes) +
                      " bytes of memory: use one part of the recording, by its own name");
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
  const ReaderOptions options_;
  std::mutex file_mutex_;
  ChunkDecoder decoder_;  // of one stream
  FrameBatches batches_;
  std::set<std::size_t> damaged_chunks_;
};

}  // namespace

Result<std::unique_ptr<Reader>> Reader::Open(Files& files, const std::string& path,
                                             ReaderOptions options) {
  ASSIGN_OR_RETURN(Contents contents, LoadContents(files, path));
  if (options.threads == 0) options.threads = UsualThreads();
  return std::unique_ptr<Reader>(std::make_unique<FileReader>(std::move(contents), options));
}

Status Reader::ForEachFrame(const std::function<bool(const Frame&)>& visit) {
  return ForEachBatch([&visit](std::span<const Frame> frames) {
    return std::all_of(frames.begin(), frames.end(), std::cref(visit));
  });
}

}  // namespace proofdrive::session
