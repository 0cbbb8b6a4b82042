#include "session/writer.h"

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <random>

#include "core/base/text.h"
#include "session/chunk/chunk_builder.h"
#include "session/file/compression.h"
#include "session/file/convert.h"
#include "session/file/journal.h"
#include "session/file/preamble.h"
#include "session/index/index.h"
#include "session/index/scan.h"
#include "session/model/leftover.h"
#include "session/model/names.h"

namespace proofdrive::session {
namespace {

// One journal batch holds at most this many frames.
constexpr std::size_t kFramesPerBatch = 4096;
// Events that wait for a chunk in a quiet session; then they are written without one.
constexpr std::size_t kMaxWaitingEvents = 1024;

std::string MakeId() {
  std::random_device random;
  char id[33];
  for (std::size_t i = 0; i < 4; ++i) std::snprintf(id + 8 * i, 9, "%08x", random());
  return id;
}

Status Wrong(const std::string& what) { return Status(ErrorKind::kInvalidArgument, what); }

Status CheckHeader(const Header& header) {
  if (header.resolution <= Duration(0) || header.resolution > std::chrono::seconds(1)) {
    return Wrong("the resolution of frame times must be above 0 and at most 1 s");
  }
  std::size_t together = 0;
  for (const DefinitionText& definition : header.definitions) {
    if (definition.text.size() > kMaxDefinitionBytes) {
      return Wrong(definition.path + ": larger than 16 MiB, too large to be kept in a session");
    }
    together += definition.text.size();
    if (together > kMaxDefinitionsBytes) {
      return Wrong("definition files of more than 128 MiB are too large to be kept in a session");
    }
  }
  for (const std::string* text :
       {&header.name, &header.vehicle, &header.notes, &header.software, &header.source}) {
    if (text->size() > kMaxHeaderTextBytes) {
      return Wrong("a text in the header of a session is longer than 1 MiB");
    }
  }
  return Status::Ok();
}

Status CheckOptions(const WriterOptions& options) {
  if (options.frames_per_chunk == 0 || options.frames_per_chunk > kMaxFramesPerChunk) {
    return Wrong("frames per chunk must be 1 to " + FormatCount(kMaxFramesPerChunk));
  }
  if (options.compression_level < 1 || options.compression_level > 19) {
    return Wrong("the compression level must be 1 to 19");
  }
  return Status::Ok();
}

class FileWriter : public Writer {
 public:
  FileWriter(Files& files, std::string path, Header header, WriterOptions options)
      : files_(files),
        path_(std::move(path)),
        header_(std::move(header)),
        options_(options),
        units_per_chunk_(static_cast<std::uint64_t>(
            std::max<std::int64_t>(1, options_.time_per_chunk / header_.resolution))),
        compressor_(options.compression_level) {
    identity_ = {std::random_device{}(), kPredictedBytes, options_.journal};
  }

  // --- creating ---

  Status Start() {
    // The journal first: a session without a footer is never without its journal.
    if (options_.journal) {
      ASSIGN_OR_RETURN(journal_, files_.Create(JournalPath(path_)));
    }
    const Status status = StartSession();
    if (!status.ok()) Withdraw();
    return status;
  }

  Status Append(std::span<const Frame> frames) override {
    while (!frames.empty()) {
      if (!IsValid(frames.front())) {
        ++stats_.rejected_frames;
        frames = frames.subspan(1);
        continue;
      }
      const std::span<const Frame> batch = frames.first(CountForBatch(frames));
      RETURN_IF_ERROR(AppendBatch(batch));
      frames = frames.subspan(batch.size());
    }
    return Status::Ok();
  }

  Status AddEvent(const Event& event) override {
    if (std::max(event.text.size(), event.data.size()) > kMaxEventTextBytes) {
      return Wrong("the text or the data of an event are longer than 1 MiB");
    }
    RETURN_IF_ERROR(AppendToJournal(EventRecord(event, Now(), identity_.salt)));
    events_.push_back(event);
    ++stats_.events;
    if (events_.size() >= kMaxWaitingEvents) return CutChunk(Journal::kAnew);
    return Status::Ok();
  }

  Status AddChannel(const Channel& channel) override {
    const bool known =
        std::any_of(header_.channels.begin(), header_.channels.end(),
                    [&](const Channel& other) { return other.number == channel.number; });
    if (known) {
      return Wrong("channel " + std::to_string(channel.number) + " is already in the session");
    }
    RETURN_IF_ERROR(AppendToJournal(ChannelRecord(channel, Now(), identity_.salt)));
    channels_.push_back(channel);
    header_.channels.push_back(channel);
    return Status::Ok();
  }

  Status Sync() override {
    if (!journal_) return CutChunk(Journal::kAnew);
    RETURN_IF_ERROR(SettleDirectory());
    RETURN_IF_ERROR(journal_->Sync());
    return ChunkIsFull() ? CutChunk(Journal::kAnew) : Status::Ok();
  }

  Status CheckFiles() const override {
    RETURN_IF_ERROR(session_->CheckPlace(path_));
    return journal_ ? journal_->CheckPlace(JournalPath(path_)) : Status::Ok();
  }

  void SetContinued() override { header_.continued = true; }

  Status Finish() override {
    RETURN_IF_ERROR(CutChunk(Journal::kAsItIs));
    RETURN_IF_ERROR(WriteFooter());
    RETURN_IF_ERROR(session_->CheckPlace(path_));  // complete is only what is there
    if (options_.journal) {
      RETURN_IF_ERROR(RemoveIfThere(NextJournalPath(path_)));
      RETURN_IF_ERROR(RemoveIfThere(JournalPath(path_)));
      journal_.reset();
    }
    RETURN_IF_ERROR(files_.SyncDirectory(DirectoryOf(path_)));
    lock_.reset();
    return Status::Ok();
  }

  const Header& header() const override { return header_; }

  WriterStats stats() const override {
    WriterStats stats = stats_;
    stats.chunks = index_.chunks.size();
    stats.bytes = session_ ? session_->size() : 0;
    stats.journal_bytes = journal_ ? journal_->size() : 0;
    return stats;
  }

 private:
  enum class Journal { kAnew, kAsItIs };

  Position Now() const { return {stats_.frames, stats_.events}; }

  std::vector<std::uint8_t> HeaderBytes(WithDefinitions definitions) const {
    return Serialize(ToMessage(header_, identity_, definitions));
  }

  Status StartSession() {
    ASSIGN_OR_RETURN(session_, files_.Create(path_));
    created_ = true;
    ASSIGN_OR_RETURN(lock_, files_.Lock(path_));
    std::vector<std::uint8_t> bytes = MakePreamble(identity_.salt, identity_.incompatible_features);
    PutRecord(RecordType::kHeader, HeaderBytes(WithDefinitions::kYes), identity_.salt, bytes);
    RETURN_IF_ERROR(session_->Append(bytes));
    RETURN_IF_ERROR(session_->Sync());
    if (journal_) {
      RETURN_IF_ERROR(journal_->Append(JournalStart({})));
      RETURN_IF_ERROR(journal_->Sync());
    }
    return files_.SyncDirectory(DirectoryOf(path_));
  }

  // Nothing was recorded yet: leave no trace of the attempt. Only what this writer made goes.
  void Withdraw() {
    lock_.reset();
    session_.reset();
    if (created_) (void)files_.Remove(path_);
    if (journal_) (void)files_.Remove(JournalPath(path_));
    journal_.reset();
  }

  // --- frames ---

  // Whether Validate would accept it; nearly all frames are of the kind looked at first.
  static bool IsValid(const Frame& frame) {
    const bool plain = frame.flags == 0 && frame.raw_dlc == 0 && frame.id <= kMaxBaseId &&
                       frame.length <= kMaxClassicLength;
    return plain || Validate(frame).ok();
  }

  // How many of the next frames belong to one batch. REQUIRES: the first is valid.
  std::size_t CountForBatch(std::span<const Frame> frames) const {
    const std::int64_t first = Units(frames.front());
    const std::size_t most = std::min(frames.size(), RoomInBatch());
    std::size_t count = 1;
    while (count < most && IsValid(frames[count]) && !TooLate(Units(frames[count]), first)) ++count;
    return count;
  }

  std::size_t RoomInBatch() const {
    const std::size_t used = ChunkIsFull() ? 0 : builder_.frames();
    return std::min(kFramesPerBatch, options_.frames_per_chunk - used);
  }

  std::int64_t Units(const Frame& frame) const { return ToUnits(frame.time, header_.resolution); }

  // A chunk spans a limited time, forward or (the clock was set) backward.
  bool TooLate(std::int64_t units, std::int64_t first) const {
    const auto distance = static_cast<std::uint64_t>(units) - static_cast<std::uint64_t>(first);
    return std::min(distance, std::uint64_t{0} - distance) >= units_per_chunk_;
  }

  bool ChunkIsFull() const { return builder_.frames() >= options_.frames_per_chunk; }

  // All of the batch is taken, or nothing of it.
  Status AppendBatch(std::span<const Frame> batch) {
    const bool late = builder_.frames() > 0 && TooLate(Units(batch.front()), builder_.first());
    if (ChunkIsFull() || late) RETURN_IF_ERROR(CutChunk(Journal::kAnew));
    if (journal_) {
      RETURN_IF_ERROR(
          AppendToJournal(FramesRecord(batch, Now(), header_.resolution, identity_.salt)));
    }
    for (const Frame& frame : batch) builder_.Add(frame, Units(frame));
    stats_.frames += batch.size();
    return Status::Ok();
  }

  // --- journal ---

  std::vector<std::uint8_t> JournalStart(Position position) const {
    return JournalStartRecord(HeaderBytes(WithDefinitions::kNo), position, identity_.salt);
  }

  Status AppendToJournal(const std::vector<std::uint8_t>& record) {
    if (!journal_) return Status::Ok();
    RETURN_IF_ERROR(SettleDirectory());
    return journal_->Append(record).WithContext("write the journal");
  }

  // Puts a new, empty journal in the place of the present one. Until the new name is there the
  // present journal stays in use: what it holds is in the chunks, and a reader knows.
  Status StartJournalAnew() {
    const std::string next = NextJournalPath(path_);
    RETURN_IF_ERROR(RemoveIfThere(next));
    ASSIGN_OR_RETURN(auto journal, files_.Create(next));
    RETURN_IF_ERROR(journal->Append(JournalStart(index_.total)));
    RETURN_IF_ERROR(journal->Sync());
    RETURN_IF_ERROR(files_.Rename(next, JournalPath(path_)));
    journal_ = std::move(journal);
    directory_unsettled_ = true;
    return SettleDirectory();
  }

  // A new name is not durable before its folder is.
  Status SettleDirectory() {
    if (!directory_unsettled_) return Status::Ok();
    RETURN_IF_ERROR(files_.SyncDirectory(DirectoryOf(path_)));
    directory_unsettled_ = false;
    return Status::Ok();
  }

  Status RemoveIfThere(const std::string& path) {
    return files_.Exists(path) ? files_.Remove(path) : Status::Ok();
  }

  // --- chunks ---

  // Writes what was collected as notes and a chunk, makes that durable and forgets it. On failure
  // everything is still collected, and the bytes that may have been written are abandoned.
  Status CutChunk(Journal journal) {
    if (builder_.frames() == 0 && events_.empty() && channels_.empty()) return Status::Ok();
    footer_written_ = false;  // by an earlier Finish that failed after it
    const std::uint64_t begin = session_->size();
    const Status status = WriteChunk(begin);
    if (!status.ok()) {
      Abandon(begin);
      return status.WithContext("write chunk " + std::to_string(index_.chunks.size() + 1));
    }
    builder_.Clear();
    events_.clear();
    channels_.clear();
    if (journal == Journal::kAnew && journal_) return StartJournalAnew();
    return Status::Ok();
  }

  Status WriteChunk(std::uint64_t begin) {
    std::vector<std::uint8_t> bytes;
    if (!events_.empty() || !channels_.empty()) {
      bytes = NotesRecord(index_.total.events, events_, channels_, identity_.salt);
    }
    const std::size_t notes_bytes = bytes.size();
    std::vector<std::uint8_t> payload;
    if (builder_.frames() > 0) {
      payload = builder_.Encode(index_.total.frames, compressor_);
      PutRecord(RecordType::kChunk, payload, identity_.salt, bytes);
    }
    RETURN_IF_ERROR(session_->Append(bytes));
    RETURN_IF_ERROR(session_->Sync());
    if (notes_bytes > 0) index_.notes.push_back({begin, notes_bytes});
    index_.total.events += events_.size();
    return payload.empty() ? Status::Ok() : index_.AddChunk(begin + notes_bytes, payload);
  }

  void Abandon(std::uint64_t begin) {
    if (session_->size() > begin) index_.abandoned.push_back({begin, session_->size() - begin});
  }

  Status WriteFooter() {
    if (footer_written_) return Status::Ok();
    const std::uint64_t begin = session_->size();
    const std::vector<std::uint8_t> bytes =
        FooterBytes(index_, HeaderBytes(WithDefinitions::kYes), begin, identity_.salt);
    Status status = session_->Append(bytes);
    if (status.ok()) status = session_->Sync();
    footer_written_ = status.ok();
    if (!status.ok()) Abandon(begin);
    return status.WithContext("write the end of the session");
  }

  Files& files_;
  const std::string path_;
  Header header_;
  const WriterOptions options_;
  const std::uint64_t units_per_chunk_;
  FileIdentity identity_;
  Compressor compressor_;
  std::unique_ptr<AppendFile> session_;
  std::unique_ptr<AppendFile> journal_;
  std::unique_ptr<FileLock> lock_;
  bool created_ = false;
  bool directory_unsettled_ = false;
  bool footer_written_ = false;
  ChunkBuilder builder_;           // frames since the last chunk
  std::vector<Event> events_;      // since the last notes
  std::vector<Channel> channels_;  // likewise
  Index index_;
  WriterStats stats_;
};

}  // namespace

Result<std::unique_ptr<Writer>> Writer::Create(Files& files, const std::string& path, Header header,
                                               WriterOptions options) {
  RETURN_IF_ERROR(CheckSessionPath(path));
  RETURN_IF_ERROR(CheckHeader(header));
  RETURN_IF_ERROR(CheckOptions(options));
  if (IsLeftover(files, path)) RETURN_IF_ERROR(RemoveLeftover(files, path));
  for (const std::string& name : {path, JournalPath(path)}) {
    if (!files.Exists(name)) continue;
    return Status(ErrorKind::kAlreadyExists,
                  name + " already exists and is not overwritten: choose another name");
  }
  if (header.id.empty()) header.id = MakeId();
  if (header.part == 1) header.recording = header.id;
  auto writer = std::make_unique<FileWriter>(files, path, std::move(header), options);
  RETURN_IF_ERROR(writer->Start());
  return std::unique_ptr<Writer>(std::move(writer));
}

}  // namespace proofdrive::session
