#include "daemon/recording/recorder.h"

#include <algorithm>
#include <utility>

#include "core/base/text.h"
#include "daemon/recording/free_name.h"

namespace proofdrive::daemon {
namespace {

// "20260301-120000": the name of a recording nobody gave a name.
std::string NameFromTime(WallTime time) {
  std::string text = FormatWallTime(time, 0);  // "2026-03-01T12:00:00Z"
  std::erase_if(text, [](char c) { return c == '-' || c == ':' || c == 'Z'; });
  std::replace(text.begin(), text.end(), 'T', '-');
  return text;
}

}  // namespace

Recorder::Recorder(Files& files, const Clock& clock, Log& log, Counters& counters,
                   RecorderSetup setup)
    : files_(files),
      clock_(clock),
      log_(log),
      counters_(counters),
      setup_(std::move(setup)),
      upkeep_(files, log, counters, setup_.directory, setup_.budget, setup_.upkeep_aside) {}

Recorder::~Recorder() = default;

Result<std::string> Recorder::ChoosePath(RecordingWish& request) const {
  const bool given = !request.name.empty();
  const std::string base = given ? request.name : NameFromTime(clock_.Now().wall);
  const std::string name = FreeName(files_, setup_.directory, base);
  if (given && name != base) {
    return Status(ErrorKind::kAlreadyExists,
                  SessionPath(setup_.directory, base) +
                      " is there already and nothing is overwritten: choose another "
                      "name, for example " +
                      name);
  }
  request.name = name;
  return SessionPath(setup_.directory, name);
}

std::string Recorder::UnderWay() const { return recording() ? files_of_->first_path() : ""; }

// The upkeep deletes what the budget allows. It is asked in time, before there is no room at all.
void Recorder::AskForRoom(SteadyTime now) {
  if (!setup_.budget || (asked_for_room_ && now - *asked_for_room_ < kPauseTime)) return;
  asked_for_room_ = now;
  upkeep_.Apply(UnderWay(), 2 * setup_.reserve);
}

Status Recorder::CheckSpace() {
  ASSIGN_OR_RETURN(std::uint64_t free, files_.FreeBytes(setup_.directory));
  if (free < 2 * setup_.reserve) {
    AskForRoom(clock_.Now().steady);
    if (!recording()) (void)upkeep_.Wait(kPatience);
    ASSIGN_OR_RETURN(free, files_.FreeBytes(setup_.directory));
  }
  if (free >= setup_.reserve) return Status::Ok();
  const std::string filled_by = upkeep_.info().filled_by;
  return Status(ErrorKind::kNoSpace, "the disk of " + setup_.directory + " is almost full (" +
                                         FormatCount(free) + " bytes left, " +
                                         FormatCount(setup_.reserve) +
                                         " are kept free): remove what you do not need there" +
                                         (filled_by.empty() ? "" : "; " + filled_by));
}

void Recorder::SetChannels(std::vector<session::Channel> channels) {
  setup_.header.channels = std::move(channels);
}

Result<std::string> Recorder::Start(const RecordingWish& request) {
  if (recording()) {
    return Status(ErrorKind::kBusy, "already recording " + request_.name +
                                        ": stop it first with: proofdrive record stop");
  }
  RecordingWish chosen = request;
  RETURN_IF_ERROR(files_.MakeDirectory(setup_.directory));
  ASSIGN_OR_RETURN(const std::string path, ChoosePath(chosen));
  asked_for_room_.reset();
  upkeep_.Apply("", 0);
  RETURN_IF_ERROR(CheckSpace());
  session::Header header = setup_.header;
  header.name = chosen.name;
  header.stage = chosen.stage;
  header.notes = chosen.notes;
  header.started = clock_.Now();
  const ClockPair started = header.started;
  const auto begun = [this](const std::string& file, const session::Header& of_file) {
    upkeep_.Note(file, of_file);
  };
  ASSIGN_OR_RETURN(files_of_, RecordingFiles::Create(files_, clock_, log_, path, std::move(header),
                                                     {setup_.parts, setup_.live, begun}));
  request_ = std::move(chosen);
  started_ = started;
  last_sync_ = last_upkeep_ = started.steady;
  clock_watch_.emplace(started);
  first_frame_.reset();
  first_stored_.reset();
  pause_.reset();
  drops_ = 0;
  log_.Info("Recording to " + path);
  return path;
}

void Recorder::Append(std::span<const Frame> frames) {
  if (!recording() || frames.empty()) return;
  if (!first_frame_) first_frame_ = frames.front().time;
  if (setup_.live || !request_.length) return AppendAllowed(frames);
  const WallTime end = *first_frame_ + *request_.length;
  const auto over = std::find_if(frames.begin(), frames.end(),
                                 [end](const Frame& frame) { return frame.time >= end; });
  AppendAllowed(frames.subspan(0, static_cast<std::size_t>(over - frames.begin())));
  if (over != frames.end()) End("");
}

void Recorder::AppendAllowed(std::span<const Frame> frames) {
  if (frames.empty()) return;
  if (pause_) return CountLost(frames);
  const session::WriterStats before = files_of_->stats();
  const Status status = files_of_->Append(frames);
  const session::WriterStats after = files_of_->stats();
  const std::uint64_t rejected = after.rejected_frames - before.rejected_frames;
  const auto taken = static_cast<std::size_t>(after.frames - before.frames + rejected);
  if (after.frames > before.frames) NoteStored(frames.first(std::min(taken, frames.size())));
  if (status.ok()) return;
  Fail(status);
  if (recording()) CountLost(frames.subspan(std::min(taken, frames.size())));
}

void Recorder::NoteStored(std::span<const Frame> frames) {
  if (frames.empty()) return;
  if (!first_stored_) first_stored_ = frames.front().time;
  last_stored_ = frames.back().time;
}

Status Recorder::Sync() { return files_of_->Sync(); }

Status Recorder::AddEvent(const session::Event& event) {
  if (!recording()) return Status::Ok();
  if (event.kind == session::EventKind::kDrops) drops_ += event.count;
  const bool mark = event.kind == session::EventKind::kMark;
  if (pause_ && !mark) {
    ++pause_->lost_events;
    return Status::Ok();
  }
  Status status = files_of_->AddEvent(event);
  if (status.ok() && mark) status = Sync();
  if (!status.ok()) Fail(status);
  return status;
}

void Recorder::CheckClock(ClockPair now) {
  const auto step = clock_watch_->Check(now);
  if (!step) return;
  counters_.Add(Counter::kClockSteps);
  session::Event event;
  event.time = now.wall;
  event.kind = session::EventKind::kClockStep;
  event.step = *step;
  event.text = "the wall clock was set while recording";
  log_.Warning("The clock of this machine was set by " + FormatDuration(*step) +
               "; the step is noted in the recording");
  (void)AddEvent(event);
}

void Recorder::Tick() {
  if (!recording()) return;
  const ClockPair now = clock_.Now();
  CheckClock(now);
  if (recording()) WatchDisk(now);
  if (!recording()) return;
  if (setup_.live && request_.length && now.steady - started_.steady >= *request_.length) {
    return End("");
  }
  if (pause_) return;
  files_of_->Tick();
  if (now.steady - last_sync_ < kSyncTime) return;
  last_sync_ = now.steady;
  const Status synced = Sync();
  if (!synced.ok()) Fail(synced);
}

void Recorder::WatchDisk(ClockPair now) {
  if (now.steady - last_upkeep_ >= kRetentionTime) {
    last_upkeep_ = now.steady;
    upkeep_.Apply(UnderWay(), pause_ ? 2 * setup_.reserve : 0);
  }
  if (pause_) {
    if (now.steady >= pause_->next_try) Resume(now);
    return;
  }
  const Status space = CheckSpace();
  if (!space.ok()) Fail(space);
}

// --- a full disk ---

void Recorder::BeginPause(const Status& status) {
  const SteadyTime now = clock_.Now().steady;
  pause_.emplace(Pause{status.message(), now, now + kPauseTime, {}, 0, 0});
  log_.Error("Recording is paused, frames are lost: " + status.message() +
             ". It goes on by itself when there is room");
  const Status synced = Sync();  // what was taken so far fits into what is kept free
  if (!synced.ok()) log_.Warning("What came last is not on the disk yet: " + synced.message());
}

void Recorder::CountLost(std::span<const Frame> frames) {
  for (const Frame& frame : frames) ++pause_->lost[frame.channel];
  pause_->lost_frames += frames.size();
  drops_ += frames.size();
  counters_.Add(Counter::kFullDiskDrops, frames.size());
}

// What the pause has cost, as events of the recording.
Status Recorder::StoreGap() {
  session::Event event;
  event.time = clock_.Now().wall;
  event.kind = session::EventKind::kDrops;
  event.text = "the disk was almost full";
  for (auto& [channel, count] : pause_->lost) {
    if (count == 0) continue;
    event.channel = channel;
    event.count = count;
    RETURN_IF_ERROR(files_of_->AddEvent(event));
    count = 0;
  }
  event.kind = session::EventKind::kNotice;
  event.channel.reset();
  event.count = pause_->lost_events;
  event.step = clock_.Now().steady - pause_->since;
  event.text =
      "nothing was stored for " + FormatDuration(event.step) + " because the disk was almost full";
  if (pause_->lost_events > 0) {
    event.text += ", also " + CountOf(pause_->lost_events, "event");
  }
  return files_of_->AddEvent(event);
}

void Recorder::Resume(ClockPair now) {
  pause_->next_try = now.steady + kPauseTime;
  AskForRoom(now.steady);
  const auto free = files_.FreeBytes(setup_.directory);
  if (!free.ok() || *free < 2 * setup_.reserve) return;
  const std::uint64_t lost = pause_->lost_frames;
  const Status stored = StoreGap();
  if (!stored.ok()) {
    if (stored.kind() != ErrorKind::kNoSpace) Fail(stored);
    return;
  }
  pause_.reset();
  log_.Warning("There is room again and recording goes on: " + FormatCount(lost) +
               " frames are missing, see the events of " + files_of_->path());
}

// --- the end ---

Result<RecordingInfo> Recorder::Stop() {
  if (!recording()) {
    return Status(ErrorKind::kUnavailable,
                  "nothing is being recorded: start with: proofdrive record start NAME");
  }
  End(pause_ ? pause_->why : "");
  return *ended_;
}

RecordingInfo Recorder::info() const {
  RecordingInfo info;
  info.name = request_.name;
  info.path = files_of_->first_path();
  info.stage = request_.stage;
  info.parts = files_of_->parts();
  info.written = files_of_->stats();
  info.durable = files_of_->durable();
  info.drops = drops_;
  info.planned = request_.length;
  // Times step back when somebody sets the clock; a recording is never shorter than nothing.
  if (first_stored_) info.length = std::max(Duration(0), last_stored_ - *first_stored_);
  info.trouble = files_of_->trouble();
  if (pause_) info.paused = pause_->why;
  return info;
}

std::optional<RecordingInfo> Recorder::TakeEnded() { return std::exchange(ended_, std::nullopt); }

void Recorder::End(const std::string& problem) {
  if (pause_) {
    const Status gap = StoreGap();
    if (!gap.ok()) log_.Warning("What the pause has cost could not be noted: " + gap.message());
    pause_.reset();
  }
  const Status finished = files_of_->Finish();
  ended_ = info();
  ended_->complete = finished.ok() && ended_->trouble.empty();
  ended_->problem = problem;
  if (!finished.ok()) {
    ended_->problem += (problem.empty() ? "" : "; ") + finished.message() +
                       (IsFileLost(finished)
                            ? ". What was recorded in it is only where that file is now"
                            : ". Nothing synced is lost: proofdrive recover " + files_of_->path());
  }
  counters_.Add(Counter::kMalformedFrames, ended_->written.rejected_frames);
  files_of_.reset();
}

void Recorder::Fail(const Status& status) {
  if (status.kind() != ErrorKind::kNoSpace) return End(status.message());
  if (!pause_) BeginPause(status);
}

}  // namespace proofdrive::daemon
