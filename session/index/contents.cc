#include "session/index/contents.h"

#include <algorithm>

#include "core/base/text.h"
#include "session/file/preamble.h"
#include "session/index/scan.h"
#include "session/model/leftover.h"
#include "session/model/names.h"

namespace proofdrive::session {
namespace {

Loss Notice(std::uint64_t offset, std::uint64_t bytes, std::string what, std::string advice) {
  return {Loss::Severity::kNotice, offset, bytes, std::move(what), std::move(advice)};
}

bool IsDamage(const Status& status) {
  return !status.ok() &&
         (status.kind() == ErrorKind::kCorrupt || status.kind() == ErrorKind::kTruncated);
}

// Collects the contents of one session step by step. Each step either succeeds, or notes what is
// damaged and leaves the rest to the next source.
class Loader {
 public:
  Loader(Files& files, const std::string& path) : files_(files), path_(path) {}

  Result<Contents> Load() {
    locked_ = files_.IsLocked(path_);
    ASSIGN_OR_RETURN(contents_.file, files_.Open(path_));
    OpenJournal();
    ASSIGN_OR_RETURN(contents_.file_bytes, contents_.file->Size());
    RETURN_IF_ERROR(SetBudget());
    window_ = std::make_unique<FileWindow>(*contents_.file, contents_.file_bytes);
    const Status status = LoadAll();
    // Said first: whatever else is wrong then may come from what was left out.
    if (budget_->exceeded()) return TooMuchMemory();
    RETURN_IF_ERROR(status);
    return std::move(contents_);
  }

 private:
  Status LoadAll() {
    RETURN_IF_ERROR(LoadIdentity());
    RETURN_IF_ERROR(LoadFooter());
    RETURN_IF_ERROR(ChooseHeader());
    return footer_ ? LoadByFooter() : LoadByScan();
  }

  Status SetBudget() {
    std::uint64_t bytes = contents_.file_bytes;
    if (journal_) {
      ASSIGN_OR_RETURN(const std::uint64_t journal_bytes, journal_->Size());
      bytes += journal_bytes;
    }
    budget_.emplace(bytes);
    return Status::Ok();
  }

  Status TooMuchMemory() const {
    return Status(ErrorKind::kInvalidArgument,
                  path_ +
                      ": its definition files, events and index would take far more memory than a "
                      "recording needs; no Proofdrive writes such a session, so it is not read: "
                      "use a copy of the file from before it was changed, if there is one");
  }

  // Opened before the chunks are looked at: what is in this file is then either still the latest or
  // in a chunk, even if the recorder starts a new journal meanwhile.
  void OpenJournal() {
    auto journal = files_.Open(JournalPath(path_));
    if (journal.ok()) {
      journal_ = std::move(journal).value();
    } else if (journal.status().kind() != ErrorKind::kNotFound) {
      journal_problem_ = journal.status();  // matters only when the journal is needed
    }
  }

  // Preamble and header record; each is enough for the salt.
  Status LoadIdentity() {
    ASSIGN_OR_RETURN(const ByteSpan bytes, window_->Get(0, kPreambleBytes));
    const std::vector<std::uint8_t> first(bytes.begin(), bytes.end());
    const Result<Preamble> preamble = ParsePreamble(first);
    if (preamble.ok()) RETURN_IF_ERROR(CheckFeatures(preamble->incompatible_features, path_));
    RETURN_IF_ERROR(LoadHeaderRecord());
    if (preamble.ok()) {
      contents_.identity.salt = preamble->salt;
      return Status::Ok();
    }
    if (header_) {
      Damaged(Notice(0, kPreambleBytes, "the first bytes of the file are damaged",
                     "nothing is lost; `proofdrive recover` writes a sound file"));
      return CheckFeatures(contents_.identity.incompatible_features, path_);
    }
    return NotReadable(first);
  }

  Status NotReadable(ByteSpan first) const {
    if (first.empty()) {
      return Status(ErrorKind::kTruncated,
                    path_ +
                        " is empty: nothing was ever stored in it, so there is nothing to "
                        "recover" +
                        (IsLeftover(files_, path_) ? ". Its name can be used again" : ""));
    }
    const std::size_t common = std::min(first.size(), kFileMagic.size());
    if (std::equal(first.begin(), first.begin() + static_cast<int>(common), kFileMagic.begin())) {
      return Status(ErrorKind::kCorrupt,
                    path_ +
                        ": the beginning of the session is damaged or missing, so nothing in it "
                        "can be read: use a copy of the file if there is one");
    }
    return Status(ErrorKind::kInvalidArgument,
                  path_ + " is not a Proofdrive session: " + DescribeForeignFile(first));
  }

  Status LoadHeaderRecord() {
    const Result<Record> record = ReadRecord(*window_, kPreambleBytes, kHeaderSalt);
    if (!record.ok()) return IsDamage(record.status()) ? Status::Ok() : record.status();
    if (record->type == RecordType::kHeader) TakeHeader(record->payload);
    return Status::Ok();
  }

  void TakeHeader(ByteSpan bytes) {
    format::Header message;
    if (!Parse(bytes, message, *budget_).ok()) return;
    Result<Header> header = FromMessage(message, *budget_);
    if (!header.ok()) return;
    contents_.identity = IdentityOf(message);
    contents_.header = std::move(*header);
    header_ = true;
  }

  Status LoadFooter() {
    const Result<std::uint64_t> offset = ReadTrailer(*window_);
    if (!offset.ok()) return IsDamage(offset.status()) ? Status::Ok() : offset.status();
    const Result<Record> record = ReadRecord(*window_, *offset, contents_.identity.salt);
    if (!record.ok()) return IsDamage(record.status()) ? Status::Ok() : record.status();
    if (record->type != RecordType::kFooter || record->end() + kTrailerBytes != window_->end()) {
      return Status::Ok();
    }
    Result<Footer> footer = ParseFooter(record->payload, *offset, *budget_);
    if (!footer.ok()) return Status::Ok();
    footer_ = std::move(*footer);
    format::Header header;
    contents_.header.continued =
        Parse(footer_->header, header, *budget_).ok() && header.continued();
    return Status::Ok();
  }

  Status ChooseHeader() {
    if (header_) return Status::Ok();
    const std::uint32_t salt = contents_.identity.salt;
    std::string source = "the end of the file";
    if (footer_) TakeHeader(footer_->header);
    if (!header_ && !footer_) {
      ASSIGN_OR_RETURN(scan_, ScanSession(*window_, salt, *budget_));
      if (scan_->footer) TakeHeader(scan_->footer->header);
    }
    if (!header_ && journal_) {
      source = "the journal, without the text of definition files";
      const auto bytes = ReadJournalHeader(*journal_, salt, *budget_);
      if (!bytes.ok() && !IsDamage(bytes.status())) return bytes.status();
      if (bytes.ok()) TakeHeader(*bytes);
    }
    if (!header_) return NotReadable(kFileMagic);
    contents_.identity.salt = salt;
    Damaged(Notice(kPreambleBytes, 0, "the header of the session is damaged",
                   "its copy from " + source + " is used"));
    return Status::Ok();
  }

  // --- a complete session ---

  Status LoadByFooter() {
    contents_.index = std::move(footer_->index);
    std::uint64_t next_event = 0;
    for (const Gap& place : contents_.index.notes) {
      RETURN_IF_ERROR(LoadNotes(place, next_event));
    }
    if (next_event < contents_.index.total.events) LostEvents(next_event);
    return Finish(State::kComplete);
  }

  Status LoadNotes(const Gap& place, std::uint64_t& next_event) {
    const Result<Record> record = ReadRecord(*window_, place.offset, contents_.identity.salt);
    if (!record.ok() && !IsDamage(record.status())) return record.status();
    if (!record.ok() || record->type != RecordType::kNotes) return Status::Ok();
    Result<Notes> notes = ParseNotes(record->payload, *budget_);
    if (!notes.ok()) return Status::Ok();
    if (notes->first_event > next_event) LostEvents(next_event, notes->first_event);
    for (std::size_t i = 0; i < notes->events.size(); ++i) {
      if (notes->first_event + i >= next_event) contents_.events.push_back(notes->events[i]);
    }
    next_event = std::max<std::uint64_t>(next_event, notes->first_event + notes->events.size());
    AddChannels(notes->channels);
    return Status::Ok();
  }

  void LostEvents(std::uint64_t from) { LostEvents(from, contents_.index.total.events); }
  void LostEvents(std::uint64_t from, std::uint64_t to) {
    Damaged({Loss::Severity::kDataLoss, 0, 0,
             FormatCount(to - from) + " events (marks, drops, ...) cannot be read",
             "frames are not concerned"});
  }

  // --- anything else ---

  Status LoadByScan() {
    if (!scan_) {
      ASSIGN_OR_RETURN(scan_, ScanSession(*window_, contents_.identity.salt, *budget_));
    }
    contents_.index = std::move(scan_->index);
    contents_.events = std::move(scan_->events);
    AddChannels(scan_->channels);
    scan_->index.total = contents_.index.total;
    Position expected = contents_.index.total;
    if (scan_->footer) {
      expected = scan_->footer->index.total;
      Damaged(Notice(contents_.file_bytes, 0, "the end of the file is damaged",
                     "the index was rebuilt from the chunks"));
    } else {
      RETURN_IF_ERROR(LoadJournal(expected));
    }
    AddScanLosses(expected);
    return Finish(locked_ ? State::kRecording : State::kInterrupted);
  }

  void AddScanLosses(Position expected) {
    for (Loss& loss : LossesOf(*scan_, expected, contents_.file_bytes)) {
      const bool at_end = loss.offset + loss.bytes >= contents_.file_bytes;
      const bool torn_tail = loss.severity == Loss::Severity::kNotice && at_end;
      if (torn_tail && locked_) continue;  // it is being written right now
      if (loss.severity == Loss::Severity::kDataLoss) damaged_ = true;
      contents_.losses.push_back(std::move(loss));
    }
  }

  Status LoadJournal(Position& expected) {
    if (!contents_.identity.journal) return Status::Ok();
    RETURN_IF_ERROR(journal_problem_);
    if (!journal_) {
      if (!locked_) {
        Damaged({Loss::Severity::kDataLoss, contents_.file_bytes, 0,
                 "the end of the session is missing, and so is its journal " +
                     FileNameOf(JournalPath(path_)),
                 "frames after the last chunk are lost, unless the journal is still where this "
                 "file came from: copy both files"});
      }
      return Status::Ok();
    }
    ASSIGN_OR_RETURN(journal_bytes_, journal_->Size());
    ASSIGN_OR_RETURN(JournalContents journal,
                     ReadJournal(*journal_, contents_.index.total, contents_.header.resolution,
                                 contents_.identity.salt, *budget_));
    TakeJournal(journal, expected);
    return Status::Ok();
  }

  void TakeJournal(JournalContents& journal, Position& expected) {
    const auto& [frames, events] = contents_.index.total;
    const bool just_begun = journal_bytes_ == 0 && frames == 0 && events == 0;
    if (!journal.start && !just_begun) {
      Damaged(Notice(0, 0, "the start of the journal is damaged or belongs to another session",
                     "the frames that can be read are used"));
    }
    if (journal.start) {
      expected.frames = std::max(expected.frames, journal.start->frames);
      expected.events = std::max(expected.events, journal.start->events);
    }
    // What lies between the last chunk and the first batch counts as lost there.
    if (!journal.frames.empty()) expected.frames = journal.begin.frames;
    if (!journal.events.empty()) expected.events = journal.begin.events;
    AddJournalLosses(journal);
    contents_.journal_frames = std::move(journal.frames);
    for (Event& event : journal.events) contents_.events.push_back(std::move(event));
    AddChannels(journal.channels);
  }

  void AddJournalLosses(const JournalContents& journal) {
    std::uint64_t bytes = 0;
    for (const Gap& gap : journal.gaps) bytes += gap.bytes;
    const std::uint64_t offset = journal.gaps.empty() ? 0 : journal.gaps.front().offset;
    if (journal.missing.frames > 0 || journal.missing.events > 0) {
      Damaged({Loss::Severity::kDataLoss, offset, bytes,
               "the journal is damaged: " + FormatCount(journal.missing.frames) + " frames and " +
                   FormatCount(journal.missing.events) + " events are missing",
               "what comes before and after them can be read"});
    } else if (bytes > 0 && !locked_) {
      contents_.losses.push_back(Notice(
          offset, bytes, FormatCount(bytes) + " bytes of the journal were never completely written",
          "nothing to do: frames of about the last second before the recorder stopped may be "
          "missing"));
    }
  }

  void AddChannels(const std::vector<Channel>& channels) {
    for (const Channel& channel : channels) {
      const bool known =
          std::any_of(contents_.header.channels.begin(), contents_.header.channels.end(),
                      [&](const Channel& other) { return other.number == channel.number; });
      if (!known) contents_.header.channels.push_back(channel);
    }
  }

  void Damaged(Loss loss) {
    damaged_ = true;
    contents_.losses.push_back(std::move(loss));
  }

  Status Finish(State state) {
    contents_.state = damaged_ && state != State::kRecording ? State::kDamaged : state;
    return Status::Ok();
  }

  Files& files_;
  const std::string& path_;
  Contents contents_;
  std::unique_ptr<ReadFile> journal_;
  std::uint64_t journal_bytes_ = 0;
  Status journal_problem_;  // it is there, and cannot be opened
  std::unique_ptr<FileWindow> window_;
  std::optional<MemoryBudget> budget_;
  std::optional<Footer> footer_;
  std::optional<Scan> scan_;
  bool header_ = false;
  bool locked_ = false;
  bool damaged_ = false;
};

}  // namespace

Result<Contents> LoadContents(Files& files, const std::string& path) {
  return Loader(files, path).Load();
}

}  // namespace proofdrive::session
