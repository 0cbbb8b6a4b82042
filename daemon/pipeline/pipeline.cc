#include "daemon/pipeline/pipeline.h"

#include <algorithm>
#include <utility>

#include "core/base/text.h"
#include "daemon/sources/can/bus_watch.h"

namespace proofdrive::daemon {
namespace {

std::vector<ChannelTraffic> Channels(const session::Header& header) {
  std::vector<ChannelTraffic> traffic;
  for (const session::Channel& channel : header.channels) {
    traffic.emplace_back();
    traffic.back().channel = channel;
  }
  return traffic;
}

std::unique_ptr<LiveDecoder> MakeLive(const PipelineSetup& setup) {
  if (!setup.definitions) return nullptr;
  std::vector<decoders::ChannelBus> buses;
  for (const session::Channel& channel : setup.recorder.header.channels) {
    buses.push_back({channel.number, channel.bus});
  }
  return std::make_unique<LiveDecoder>(setup.definitions, buses);
}

// Of the folder, or while it is not there of the nearest one above that is.
std::optional<std::uint64_t> FreeBytesAt(Files& files, std::string folder) {
  auto free = files.FreeBytes(folder);
  while (!free.ok() && folder != "." && folder != "/") {
    folder = DirectoryOf(folder);
    free = files.FreeBytes(folder);
  }
  return free.ok() ? std::optional<std::uint64_t>(*free) : std::nullopt;
}

}  // namespace

Pipeline::Pipeline(FrameQueue& queue, Files& files, const Clock& clock, Log& log,
                   Counters& counters, SnapshotBox& box, PipelineSetup setup)
    : queue_(queue),
      files_(files),
      clock_(clock),
      log_(log),
      counters_(counters),
      box_(box),
      setup_(std::move(setup)),
      recording_(files, clock, log, counters, setup_.recorder, setup_.policy,
                 {[this] { return ChannelsNow(); }, [this] { NoteConditions(); }}),
      live_(MakeLive(setup_)),
      channels_(Channels(setup_.recorder.header)),
      started_(clock.Now().steady),
      rate_since_(started_),
      published_(rate_since_) {
  for (ChannelTraffic& traffic : channels_) by_number_[traffic.channel.number] = &traffic;
  Publish();
}

Result<std::string> Pipeline::StartRecording(const RecordingWish& request) {
  auto path = recording_.Start(request);
  Publish();
  return path;
}

std::vector<session::Channel> Pipeline::ChannelsNow() const {
  std::vector<session::Channel> channels;
  for (const ChannelTraffic& traffic : channels_) channels.push_back(traffic.channel);
  return channels;
}

Result<RecordingInfo> Pipeline::StopRecording() {
  auto info = recording_.Stop();
  HandleEnded();
  return info;
}

Result<WallTime> Pipeline::Mark(const std::string& text) {
  if (!recording_.recording()) {
    return Status(ErrorKind::kUnavailable,
                  "nothing is being recorded: start with: proofdrive record start NAME");
  }
  session::Event event;
  event.time = SourceTime();
  event.kind = session::EventKind::kMark;
  event.text = text;
  const Status stored = recording_.AddEvent(event);
  if (!stored.ok()) {
    return Status(stored.kind(), "the mark could not be stored: " + stored.message() +
                                     ". What became of the recording: proofdrive status");
  }
  log_.Info("Mark: " + Printable(text));
  Publish();
  return event.time;
}

void Pipeline::Run() {
  QueueBatch batch;
  do {
    const bool no_more = setup_.sources_finished();  // asked before what they left is taken
    queue_.Take(batch, kIdleTime);
    const bool idle = batch.empty();
    Handle(batch);
    recording_.Tick(WarningsOn());
    if (idle && no_more && recording_.recording()) (void)recording_.Stop();
    HandleEnded();
    const SteadyTime now = clock_.Now().steady;
    MeasureRate(now);
    if (now - published_ >= kPublishTime) Publish();
  } while (!batch.closed || !batch.empty());
  if (recording_.recording()) (void)recording_.Stop();
  HandleEnded();
  Publish();
}

void Pipeline::Handle(QueueBatch& batch) {
  if (!ended_) {
    HandleFrames(batch.frames);
    for (const session::Event& event : batch.events) {
      NoteState(event);
      (void)recording_.AddEvent(event);
    }
    HandleConditions(batch);
    HandleDrops(batch);
  }
  for (const auto& task : batch.tasks) task();
}

// Decoded first, so that a warning that begins a recording is known when its frame is stored.
void Pipeline::HandleFrames(std::span<const Frame> frames) {
  do {
    const auto slice = frames.first(recording_.NextSlice(frames));
    CountFrames(slice);
    Decode(slice);
    recording_.Append(slice, WarningsOn());
    HandleEnded();
    frames = frames.subspan(slice.size());
  } while (!frames.empty() && !ended_);
}

std::size_t Pipeline::WarningsOn() const {
  if (!live_ || recording_.when() != RecordWhen::kWarning) return 0;
  const auto warnings = live_->Warnings();
  return static_cast<std::size_t>(
      std::count_if(warnings.begin(), warnings.end(), [](const decoders::WarningSpan& span) {
        return span.kind == decoders::WarningStateKind::kOn;
      }));
}

void Pipeline::Decode(std::span<const Frame> frames) {
  if (!live_) return;
  // Before the first frame of a recording that is replayed nobody knows what time it is there.
  if (!setup_.recorder.live && !newest_frame_) return;
  live_->Update(frames);
  live_->AdvanceTo(SourceTime());
  for (ChannelTraffic& traffic : channels_) {
    traffic.described = live_->described()[traffic.channel.number];
  }
  LogWarningChanges();
}

void Pipeline::CountFrames(std::span<const Frame> frames) {
  frames_ += frames.size();
  counters_.Add(Counter::kFramesReceived, frames.size());
  if (frames.empty()) return;
  const SteadyTime now = clock_.Now().steady;
  for (const Frame& frame : frames) {
    ChannelTraffic* traffic = by_number_[frame.channel];
    if (traffic == nullptr) continue;
    if (frame.Is(kErrorMessage)) {
      ++traffic->errors;
      continue;
    }
    ++traffic->frames;
    traffic->last_frame = now;
    load_.Count(frame);
  }
  newest_frame_ = frames.back().time;
}

void Pipeline::NoteState(const session::Event& event) {
  if (event.kind != session::EventKind::kChannelState || !event.channel) return;
  if (ChannelTraffic* traffic = by_number_[*event.channel]) traffic->state = event.text;
}

void Pipeline::HandleConditions(const QueueBatch& batch) {
  for (const auto& [number, condition] : batch.conditions) {
    ChannelTraffic* traffic = by_number_[number];
    if (traffic == nullptr) continue;
    traffic->condition = condition;
    traffic->channel.bitrate = condition.link.bitrate;
    traffic->channel.data_bitrate = condition.link.data_bitrate;
    traffic->channel.flexible_data = condition.link.flexible_data;
    if (!condition.timestamps.empty()) traffic->channel.timestamps = condition.timestamps;
    if (recording_.recording() && !noted_.contains(number)) NoteCondition(*traffic);
  }
}

void Pipeline::NoteConditions() {
  noted_.clear();
  for (const ChannelTraffic& traffic : channels_) {
    if (traffic.condition) NoteCondition(traffic);
  }
}

void Pipeline::NoteCondition(const ChannelTraffic& traffic) {
  noted_.insert(traffic.channel.number);
  const LinkInfo& link = traffic.condition->link;
  session::Event event;
  event.time = clock_.Now().wall;
  event.channel = traffic.channel.number;
  if (!traffic.condition->up()) {
    event.kind = session::EventKind::kChannelState;
    event.text = traffic.condition->state;
    (void)recording_.AddEvent(event);
  }
  if (!link.has_controller) return;
  event.kind = session::EventKind::kNotice;
  event.text = "controller: " + ControllerText(link);
  (void)recording_.AddEvent(event);
  event.kind = session::EventKind::kErrorCounters;
  event.text = CountersText(link);
  (void)recording_.AddEvent(event);
}

void Pipeline::HandleDrops(const QueueBatch& batch) {
  for (const auto& [channel, count] : batch.drops) {
    counters_.Add(Counter::kQueueDrops, count);
    session::Event event;
    event.time = clock_.Now().wall;
    event.kind = session::EventKind::kDrops;
    event.channel = channel;
    event.count = count;
    event.text = "before recording";
    (void)recording_.AddEvent(event);
    log_.Warning(FormatCount(count) + " frames were lost before recording. " +
                 std::string(InfoOf(Counter::kQueueDrops).advice));
  }
  if (batch.dropped_events > 0) {
    session::Event event;
    event.time = clock_.Now().wall;
    event.count = batch.dropped_events;
    event.text = "more events came than could be stored: " + FormatCount(batch.dropped_events) +
                 " are missing";
    (void)recording_.AddEvent(event);
    log_.Warning(event.text);
  }
}

void Pipeline::LogWarningChanges() {
  using decoders::WarningStateKind;
  for (const WarningChange& change : live_->TakeChanges()) {
    const decoders::Warning& warning = setup_.definitions->warnings[change.warning];
    const std::string name = warning.text + " (" + warning.name + ")";
    const std::string at = " at " + FormatWallTime(change.time, 3);
    if (change.now == WarningStateKind::kOn) {
      log_.Warning("Warning on: " + name + at);
    } else if (change.before == WarningStateKind::kOn && change.now == WarningStateKind::kOff) {
      log_.Info("Warning off: " + name + at + "; off now is no proof of a repair");
    } else if (change.before == WarningStateKind::kOn) {
      log_.Info("Warning not known any more: " + name + at + "; its frame is silent");
    }
  }
}

void Pipeline::HandleEnded() {
  while (const auto ended = recording_.TakeEnded()) TellEnded(ended);
}

void Pipeline::TellEnded(const std::optional<RecordingInfo>& ended) {
  last_recording_ = ended;
  ended_ = setup_.end_with_recording;
  if (!ended->problem.empty()) log_.Error("The recording ended early: " + ended->problem);
  const bool finished = ended->complete || (ended->problem.empty() && !ended->trouble.empty());
  log_.Info(std::string(finished ? "Recorded " : "Interrupted after ") +
            FormatCount(ended->written.frames) + " frames, " + SpokenDuration(ended->length) +
            ", " + FormatCount(ended->drops) + " lost: " + ended->path +
            (ended->parts > 1 ? ", " + FormatCount(ended->parts) + " parts" : ""));
  if (setup_.on_ended) setup_.on_ended(*ended);
  Publish();
}

void Pipeline::MeasureRate(SteadyTime now) {
  const Duration elapsed = now - rate_since_;
  if (elapsed < std::chrono::seconds(1)) return;
  frames_per_s_ = static_cast<double>(frames_ - rate_frames_) / ToSeconds(elapsed);
  for (ChannelTraffic& traffic : channels_) {
    const LoadMeter::Load load = load_.Take(traffic.channel, elapsed);
    traffic.frames_per_s = load.frames_per_s;
    traffic.load_least = load.least;
    traffic.load_most = load.most;
  }
  rate_since_ = now;
  rate_frames_ = frames_;
}

WallTime Pipeline::SourceTime() const {
  if (!setup_.recorder.live && newest_frame_) return *newest_frame_;
  return clock_.Now().wall;
}

void Pipeline::Publish() {
  auto snapshot = std::make_shared<Snapshot>();
  snapshot->time = SourceTime();
  snapshot->now = clock_.Now().steady;
  snapshot->started = started_;
  snapshot->free_bytes = FreeBytesAt(files_, setup_.recorder.directory);
  snapshot->sources = setup_.sources;
  snapshot->frames = frames_;
  snapshot->frames_per_s = frames_per_s_;
  snapshot->drops = counters_.Get(Counter::kControllerDrops) +
                    counters_.Get(Counter::kKernelDrops) + counters_.Get(Counter::kQueueDrops);
  snapshot->space = recording_.space();
  snapshot->channels = channels_;
  if (recording_.recording()) snapshot->recording = recording_.info();
  snapshot->last_recording = last_recording_;
  snapshot->not_recording = recording_.not_begun();
  if (live_) {
    snapshot->definitions = setup_.definitions;
    snapshot->values = live_->Values(snapshot->time);
    snapshot->warnings = live_->Warnings();
  }
  for (std::size_t i = 0; i < kCounterCount; ++i) {
    snapshot->counts[i] = counters_.Get(static_cast<Counter>(i));
  }
  box_.Set(std::move(snapshot));
  published_ = clock_.Now().steady;
}

}  // namespace proofdrive::daemon
