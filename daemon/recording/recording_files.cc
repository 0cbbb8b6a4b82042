#include "daemon/recording/recording_files.h"

#include <algorithm>
#include <utility>

#include "core/base/text.h"
#include "daemon/recording/free_name.h"
#include "session/model/names.h"
#include "session/model/parts.h"

namespace proofdrive::daemon {
namespace {

session::WriterStats Sum(session::WriterStats sum, const session::WriterStats& other) {
  sum.frames += other.frames;
  sum.events += other.events;
  sum.chunks += other.chunks;
  sum.bytes += other.bytes;
  sum.journal_bytes += other.journal_bytes;
  sum.rejected_frames += other.rejected_frames;
  return sum;
}

}  // namespace

bool IsFileLost(const Status& status) {
  return !status.ok() &&
         (status.kind() == ErrorKind::kNotFound || status.kind() == ErrorKind::kAlreadyExists ||
          status.kind() == ErrorKind::kTruncated);
}

RecordingFiles::RecordingFiles(Files& files, const Clock& clock, Log& log, std::string path,
                               RecordingFilesSetup setup)
    : files_(files),
      clock_(clock),
      log_(log),
      first_path_(std::move(path)),
      setup_(std::move(setup)),
      path_(first_path_),
      part_started_(clock.Now().steady) {}

Result<std::unique_ptr<RecordingFiles>> RecordingFiles::Create(Files& files, const Clock& clock,
                                                               Log& log, const std::string& path,
                                                               session::Header header,
                                                               RecordingFilesSetup setup) {
  std::unique_ptr<RecordingFiles> recording(
      new RecordingFiles(files, clock, log, path, std::move(setup)));
  header.part = recording->setup_.limits.any() ? 1 : 0;
  ASSIGN_OR_RETURN(recording->writer_, session::Writer::Create(files, path, std::move(header)));
  recording->TellBegun();
  return recording;
}

Status RecordingFiles::Append(std::span<const Frame> frames) {
  while (!frames.empty()) {
    if (!part_first_frame_) part_first_frame_ = frames.front().time;
    std::size_t count = frames.size();
    if (!setup_.live && setup_.limits.time) {
      const WallTime end = *part_first_frame_ + *setup_.limits.time;
      const auto over = std::find_if(frames.begin(), frames.end(),
                                     [end](const Frame& frame) { return frame.time >= end; });
      count = static_cast<std::size_t>(over - frames.begin());
    }
    const session::WriterStats before = writer_->stats();
    const Status appended = writer_->Append(frames.first(count));
    if (!appended.ok()) {
      const session::WriterStats now = writer_->stats();
      const std::uint64_t seen =
          now.frames + now.rejected_frames - before.frames - before.rejected_frames;
      RETURN_IF_ERROR(Outgrow(appended));
      frames = frames.subspan(static_cast<std::size_t>(seen));
      continue;
    }
    frames = frames.subspan(count);
    if (frames.empty()) break;
    BeginNextPart();
    part_first_frame_ = frames.front().time;  // also when that failed: try again a part later
  }
  return Status::Ok();
}

void RecordingFiles::TellBegun() const {
  if (setup_.begun) setup_.begun(path_, writer_->header());
}

Status RecordingFiles::AddEvent(const session::Event& event) {
  const Status added = writer_->AddEvent(event);
  if (added.ok()) return added;
  RETURN_IF_ERROR(Outgrow(added));
  return writer_->AddEvent(event);
}

Status RecordingFiles::Sync() {
  const Status there = writer_->CheckFiles();
  if (IsFileLost(there)) {
    return GoOnInNewFile(there.message() + " while it was being recorded; its " +
                         CountOf(writer_->stats().frames, "frame") +
                         " are not counted any more and only where that file is now");
  }
  RETURN_IF_ERROR(there);
  const std::uint64_t frames = writer_->stats().frames;
  const Status synced = writer_->Sync();
  if (!synced.ok()) return Outgrow(synced);
  durable_ = frames;
  return Status::Ok();
}

bool RecordingFiles::IsLarge() const {
  if (setup_.limits.bytes && writer_->stats().bytes >= *setup_.limits.bytes) return true;
  return setup_.live && setup_.limits.time &&
         clock_.Now().steady - part_started_ >= *setup_.limits.time;
}

void RecordingFiles::Tick() {
  if (retry_at_ && clock_.Now().steady < *retry_at_) return;
  if (IsLarge()) BeginNextPart();
}

// The new part is there before the old one says that it goes on.
void RecordingFiles::BeginNextPart() {
  session::Header header = writer_->header();
  header.id.clear();
  header.part = part_ + 1;
  header.continued = false;
  header.started = clock_.Now();
  const std::string path = session::PartPath(first_path_, part_ + 1);
  auto next = session::Writer::Create(files_, path, std::move(header));
  if (!next.ok()) {
    log_.Warning("No new part could be begun, the present one goes on: " + next.status().message());
    retry_at_ = clock_.Now().steady + kRetry;
    return;
  }
  const std::unique_ptr<session::Writer> old = std::exchange(writer_, std::move(*next));
  old->SetContinued();
  const Status finished = old->Finish();
  if (!finished.ok()) {
    log_.Warning("A part could not be completed: " + finished.message() +
                 ". Nothing synced is lost: proofdrive recover " + path_);
  }
  finished_ = Sum(finished_, old->stats());
  log_.Info("Recording goes on in " + path);
  path_ = path;
  TellBegun();
  ++part_;
  durable_ = 0;
  part_started_ = clock_.Now().steady;
  part_first_frame_.reset();
  retry_at_.reset();
}

// A recording of its own: what was found at the old name must not be taken for its first part.
Status RecordingFiles::GoOnInNewFile(const std::string& why) {
  session::Header header = writer_->header();
  const std::string directory = DirectoryOf(first_path_);
  RETURN_IF_ERROR(files_.MakeDirectory(directory));
  const std::string name =
      FreeName(files_, directory, session::WithoutSessionEnding(FileNameOf(first_path_)));
  const std::string path = SessionPath(directory, name);
  header.id.clear();
  header.recording.clear();
  header.continued = false;
  header.name = name;
  header.part = setup_.limits.any() ? 1 : 0;
  header.started = clock_.Now();
  session::Event event;
  event.time = header.started.wall;
  event.kind = session::EventKind::kNotice;
  event.text = why;
  ASSIGN_OR_RETURN(writer_, session::Writer::Create(files_, path, std::move(header)));
  first_path_ = path_ = path;
  part_ = 1;
  durable_ = 0;
  part_started_ = clock_.Now().steady;
  part_first_frame_.reset();
  retry_at_.reset();
  trouble_ = why + ". Recording went on in " + path;
  log_.Error(trouble_);
  TellBegun();
  return writer_->AddEvent(event);
}

// What the old file and its journal hold can be read, although it has no end.
Status RecordingFiles::Outgrow(const Status& status) {
  const bool tried_before = clock_.Now().steady - part_started_ < kRetry;
  if (status.kind() != ErrorKind::kTooLarge || tried_before) return status;
  (void)writer_->Sync();
  const session::WriterStats old = writer_->stats();
  const std::string old_path = path_;
  RETURN_IF_ERROR(GoOnInNewFile(status.message() +
                                " for the file system or the limits of this process. Its end could "
                                "not be written: proofdrive recover " +
                                old_path + ". Keep files smaller with --part-size"));
  finished_ = Sum(finished_, old);
  return Status::Ok();
}

Status RecordingFiles::Finish() {
  RETURN_IF_ERROR(writer_->Finish());
  durable_ = writer_->stats().frames;
  return Status::Ok();
}

session::WriterStats RecordingFiles::stats() const { return Sum(finished_, writer_->stats()); }

}  // namespace proofdrive::daemon
