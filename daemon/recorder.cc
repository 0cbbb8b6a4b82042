#include "daemon/recorder.h"

#include <algorithm>
#include <utility>

#include "core/base/text.h"
#include "session/recovery.h"

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
    : files_(files), clock_(clock), log_(log), counters_(counters), setup_(std::move(setup)) {}

Recorder::~Recorder() = default;

Result<std::string> Recorder::ChoosePath(RecordRequest& request) const {
  const auto path_of = [this](const std::string& name) {
    return setup_.directory + "/" + name + ".session";
  };
  const auto taken = [&](const std::string& name) {
    return files_.Exists(path_of(name)) || files_.Exists(session::JournalPath(path_of(name)));
  };
  const bool given = !request.name.empty();
  const std::string base = given ? request.name : NameFromTime(clock_.Now().wall);
  std::string name = base;
  for (int number = 2; taken(name); ++number) name = base + "-" + std::to_string(number);
  if (given && name != base) {
    return Status(ErrorKind::kAlreadyExists,
                  path_of(base) +
                      " is there already and nothing is overwritten: choose another "
                      "name, for example " +
                      name);
  }
  request.name = name;
  return path_of(name);
}

Status Recorder::CheckSpace() const {
  const auto free = files_.FreeBytes(setup_.directory);
  if (!free.ok()) return free.status();
  if (*free >= setup_.reserve) return Status::Ok();
  return Status(ErrorKind::kNoSpace, "the disk of " + setup_.directory + " is almost full (" +
                                         FormatCount(*free) + " bytes left, " +
                                         FormatCount(setup_.reserve) +
                                         " are kept free): remove what you do not need there");
}

void Recorder::SetChannels(std::vector<session::Channel> channels) {
  setup_.header.channels = std::move(channels);
}

Result<std::string> Recorder::Start(const RecordRequest& request) {
  if (recording()) {
    return Status(ErrorKind::kBusy, "already recording " + request_.name +
                                        ": stop it first with: proofdrive record stop");
  }
  RecordRequest chosen = request;
  RETURN_IF_ERROR(files_.MakeDirectory(setup_.directory));
  ASSIGN_OR_RETURN(const std::string path, ChoosePath(chosen));
  RETURN_IF_ERROR(CheckSpace());
  session::Header header = setup_.header;
  header.name = chosen.name;
  header.stage = chosen.stage;
  header.notes = chosen.notes;
  header.started = clock_.Now();
  const ClockPair started = header.started;
  ASSIGN_OR_RETURN(writer_, session::Writer::Create(files_, path, std::move(header)));
  request_ = std::move(chosen);
  path_ = path;
  started_ = started;
  last_sync_ = started.steady;
  clock_watch_.emplace(started);
  first_frame_.reset();
  drops_ = 0;
  durable_ = 0;
  log_.Info("Recording to " + path_);
  return path_;
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
  const Status status = writer_->Append(frames);
  if (!status.ok()) return Fail(status);
  last_frame_ = frames.back().time;
}

Status Recorder::Sync() {
  const std::uint64_t frames = writer_->stats().frames;
  RETURN_IF_ERROR(writer_->Sync());
  durable_ = frames;
  return Status::Ok();
}

void Recorder::AddEvent(const session::Event& event) {
  if (!recording()) return;
  if (event.kind == session::EventKind::kDrops) drops_ += event.count;
  Status status = writer_->AddEvent(event);
  if (status.ok() && event.kind == session::EventKind::kMark) status = Sync();
  if (!status.ok()) Fail(status);
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
  AddEvent(event);
}

void Recorder::Tick() {
  if (!recording()) return;
  const ClockPair now = clock_.Now();
  CheckClock(now);
  if (!recording()) return;
  const Status space = CheckSpace();
  if (!space.ok()) return End(space.message());
  if (setup_.live && request_.length && now.steady - started_.steady >= *request_.length) {
    return End("");
  }
  if (now.steady - last_sync_ < kSyncTime) return;
  last_sync_ = now.steady;
  const Status synced = Sync();
  if (!synced.ok()) Fail(synced);
}

Result<RecordingInfo> Recorder::Stop() {
  if (!recording()) {
    return Status(ErrorKind::kUnavailable,
                  "nothing is being recorded: start with: proofdrive record start NAME");
  }
  End("");
  return *ended_;
}

RecordingInfo Recorder::info() const {
  RecordingInfo info;
  info.name = request_.name;
  info.path = path_;
  info.stage = request_.stage;
  info.written = writer_->stats();
  info.durable = durable_;
  info.drops = drops_;
  info.planned = request_.length;
  info.length = first_frame_ ? last_frame_ - *first_frame_ : Duration(0);
  return info;
}

std::optional<RecordingInfo> Recorder::TakeEnded() { return std::exchange(ended_, std::nullopt); }

void Recorder::End(const std::string& problem) {
  const Status finished = writer_->Finish();
  ended_ = info();
  ended_->complete = finished.ok();
  if (finished.ok()) ended_->durable = ended_->written.frames;
  ended_->problem = problem;
  if (!finished.ok()) {
    ended_->problem += (problem.empty() ? "" : "; ") + finished.message() +
                       ". Nothing synced is lost: proofdrive recover " + path_;
  }
  counters_.Add(Counter::kMalformedFrames, ended_->written.rejected_frames);
  writer_.reset();
}

void Recorder::Fail(const Status& status) { End(status.message()); }

}  // namespace proofdrive::daemon
