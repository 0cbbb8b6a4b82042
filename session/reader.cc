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
#include "session/chunk/frame_columns.h"
#include "session/index/contents.h"

namespace proofdrive::session {
namespace {

bool IsDamage(const Status& status) {
  return status.kind() == ErrorKind::kCorrupt || status.kind() == ErrorKind::kTruncated;
}

// Less than this part of all frames is read by one thread.
constexpr std::uint64_t kFewest = 4;

// A damaged file may claim any number; beyond this a column grows as rows are really found.
constexpr std::uint64_t kMaxExpectedRows = std::uint64_t{1} << 20;

Status CheckRoom(const Column& column, std::size_t more_rows, std::size_t most_bytes) {
  const std::size_t rows = column.times.size() + more_rows;
  if (rows * (sizeof(WallTime) + column.stride()) <= most_bytes) return Status::Ok();
  return Status(ErrorKind::kInvalidArgument,
                "the frames " + FormatId(column.key.id, column.key.flags) + " take more than " +
                    FormatCount(most_bytes) +
                    " bytes of memory: use one part of the recording, by its own name");
}

void Append(const BlockStream& stream, Column& column) {
  const std::size_t before = column.times.size();
  column.times.resize(before + stream.rows());
  std::transform(stream.times_ns.begin(), stream.times_ns.end(),
                 column.times.begin() + static_cast<std::ptrdiff_t>(before), WallFromNanoseconds);
  column.bytes.insert(column.bytes.end(), stream.bytes.begin(), stream.bytes.end());
}

unsigned UsualThreads() { return std::clamp(std::thread::hardware_concurrency(), 1U, 4U); }

class FileReader : public Reader {
 public:
  FileReader(Contents contents, ReaderOptions options)
      : contents_(std::move(contents)), options_(options) {
    most_column_bytes_ = options.most_column_bytes;
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

  Status ForEachBlock(const BlockRequest& request, const BlockVisitor& visit) override {
    const std::vector<ChunkPlace>& chunks = contents_.index.chunks;
    const auto load = [&](std::size_t number, ChunkDecoder& decoder, ChunkFrames& frames) {
      RETURN_IF_ERROR(request.all ? LoadAll(chunks[number], decoder, frames)
                                  : LoadStreams(chunks[number], request.streams, decoder, frames));
      frames.ToNanoseconds(header().resolution);
      return Status::Ok();
    };
    ChunkFeed feed(load, chunks.size(), ThreadsFor(request));
    FrameBatches batches;
    std::uint64_t done = 0;
    for (std::size_t i = 0; i < chunks.size(); ++i) {
      const Result<const ChunkFrames*> frames = feed.Next();
      const Status& status = frames.ok() ? (*frames)->damage : frames.status();
      if (!status.ok() && !IsDamage(status)) return status;
      if (!status.ok()) AddChunkLoss(i, status);
      done += chunks[i].frames;
      if (frames.ok() && !visit(FrameBlock(**frames, batches, done))) return Status::Ok();
    }
    VisitJournal(request, batches, visit);
    return Status::Ok();
  }

 private:
  WallTime Wall(std::int64_t units) const { return FromUnits(units, header().resolution); }

  Result<std::vector<std::uint8_t>> ReadExactly(std::uint64_t offset, std::size_t count) {
    const std::lock_guard lock(file_mutex_);
    ASSIGN_OR_RETURN(std::vector<std::uint8_t> bytes, contents_.file->Read(offset, count));
    if (bytes.size() == count) return bytes;
    return Status(ErrorKind::kTruncated, "the file is shorter than its index says");
  }

  // A few streams are read faster than threads are told of them.
  unsigned ThreadsFor(const BlockRequest& request) const {
    std::uint64_t frames = request.all ? frame_count_ : 0;
    for (const StreamInfo& stream : streams_) {
      if (!request.all && Wants(request, stream.key)) frames += stream.frames;
    }
    const auto most = std::min<std::size_t>(options_.threads, contents_.index.chunks.size());
    return frames * kFewest < frame_count_ ? 1 : std::max(1U, static_cast<unsigned>(most));
  }

  static bool Wants(const BlockRequest& request, const StreamKey& key) {
    return std::binary_search(request.streams.begin(), request.streams.end(), key);
  }

  void VisitJournal(const BlockRequest& request, FrameBatches& batches,
                    const BlockVisitor& visit) const {
    if (contents_.journal_frames.empty()) return;
    const ChunkFrames frames = ColumnsOf(contents_.journal_frames, request.all,
                                         [&](const StreamKey& key) { return Wants(request, key); });
    visit(FrameBlock(frames, batches, frame_count_));
  }

  static Status CheckDirectory(const ChunkPlace& place, ByteSpan directory) {
    if (Crc32c(directory) == place.directory_crc) return Status::Ok();
    return Status(ErrorKind::kCorrupt, "checksum does not match");
  }

  // Called from several threads at once, like LoadStreams.
  Status LoadAll(const ChunkPlace& place, ChunkDecoder& decoder, ChunkFrames& frames) {
    ASSIGN_OR_RETURN(const std::vector<std::uint8_t> record,
                     ReadExactly(place.offset, place.record_bytes));
    const ByteSpan bytes(record);
    const ByteSpan head = bytes.subspan(place.directory_offset, place.directory_bytes);
    RETURN_IF_ERROR(CheckDirectory(place, head));
    const ByteSpan blocks = bytes.subspan(place.blocks_offset);
    ASSIGN_OR_RETURN(const ChunkDirectory directory, ParseDirectory(head, blocks.size()));
    const Status status = decoder.DecodeAll(directory, blocks, frames);
    if (status.ok()) return status;
    decoder.DecodeWhole(directory, blocks, frames);
    frames.damage = status;
    return Status::Ok();
  }

  Status LoadStreams(const ChunkPlace& place, std::span<const StreamKey> wanted,
                     ChunkDecoder& decoder, ChunkFrames& frames) {
    ASSIGN_OR_RETURN(const std::vector<std::uint8_t> head,
                     ReadExactly(place.offset + place.directory_offset, place.directory_bytes));
    RETURN_IF_ERROR(CheckDirectory(place, head));
    ASSIGN_OR_RETURN(const std::vector<StreamBlock> streams,
                     FindStreams(head, place.record_bytes - place.blocks_offset, wanted));
    frames.LayOut(streams);
    std::size_t kept = 0;
    for (std::size_t i = 0; i < streams.size(); ++i) {
      const ChunkFrames::Stream stream = frames.streams[i];
      const Status status =
          LoadStream(place, streams[i], decoder, frames.TimesOf(stream), frames.BytesOf(stream));
      if (status.ok()) frames.streams[kept++] = stream;
      if (!status.ok() && !IsDamage(status)) return status;
      if (frames.damage.ok()) frames.damage = status;
    }
    frames.streams.resize(kept);
    return Status::Ok();
  }

  // The two blocks of a stream lie side by side: one read.
  Status LoadStream(const ChunkPlace& place, const StreamBlock& stream, ChunkDecoder& decoder,
                    std::span<std::int64_t> times, std::span<std::uint8_t> payload) {
    const std::size_t first = stream.times.bytes;
    ASSIGN_OR_RETURN(const std::vector<std::uint8_t> bytes,
                     ReadExactly(place.offset + place.blocks_offset + stream.times.offset,
                                 first + stream.payload.bytes));
    return decoder.DecodeStream(stream, ByteSpan(bytes).first(first),
                                ByteSpan(bytes).subspan(first), times, payload);
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
  std::set<std::size_t> damaged_chunks_;
};

}  // namespace

Result<std::unique_ptr<Reader>> Reader::Open(Files& files, const std::string& path,
                                             ReaderOptions options) {
  ASSIGN_OR_RETURN(Contents contents, LoadContents(files, path));
  if (options.threads == 0) options.threads = UsualThreads();
  return std::unique_ptr<Reader>(std::make_unique<FileReader>(std::move(contents), options));
}

Status Reader::ForEachBatch(const std::function<bool(std::span<const Frame>)>& visit) {
  return ForEachBlock({}, [&visit](const FrameBlock& block) { return block.ForEachBatch(visit); });
}

Result<Column> Reader::ReadStream(const StreamKey& key) {
  const auto found = std::lower_bound(
      streams().begin(), streams().end(), key,
      [](const StreamInfo& stream, const StreamKey& wanted) { return stream.key < wanted; });
  if (found == streams().end() || found->key != key) {
    return Status(ErrorKind::kNotFound, "the session has no frame " + FormatId(key.id, key.flags) +
                                            " of this kind and length on this channel");
  }
  Column column;
  column.key = key;
  const auto expected = static_cast<std::size_t>(std::min(found->frames, kMaxExpectedRows));
  column.times.reserve(expected);
  column.bytes.reserve(expected * column.stride());
  Status room;
  RETURN_IF_ERROR(ForEachBlock({false, {key}}, [&](const FrameBlock& block) {
    for (const BlockStream& stream : block.streams()) {
      room = CheckRoom(column, stream.rows(), most_column_bytes_);
      if (room.ok()) Append(stream, column);
    }
    return room.ok();
  }));
  if (!room.ok()) return room;
  return column;
}

Status Reader::ForEachFrame(const std::function<bool(const Frame&)>& visit) {
  return ForEachBatch([&visit](std::span<const Frame> frames) {
    return std::all_of(frames.begin(), frames.end(), std::cref(visit));
  });
}

}  // namespace proofdrive::session
