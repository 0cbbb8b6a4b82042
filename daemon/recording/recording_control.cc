#include "daemon/recording/recording_control.h"

#include <algorithm>
#include <utility>

namespace proofdrive::daemon {

RecordingControl::RecordingControl(Files& files, const Clock& clock, Log& log, Counters& counters,
                                   RecorderSetup setup, RecordingPolicy policy,
                                   RecordingHooks hooks)
    : clock_(clock),
      log_(log),
      policy_(std::move(policy)),
      hooks_(std::move(hooks)),
      live_(setup.live),
      recorder_(files, clock, log, counters, std::move(setup)),
      lead_in_(policy_.keep_before),
      cause_(policy_) {}

Duration RecordingControl::SourceTime() const {
  return live_ ? clock_.Now().steady.time_since_epoch() : newest_;
}

Result<std::string> RecordingControl::Start(const RecordingWish& request) {
  return StartWithLeadIn(request, NowInFrameTime());
}

WallTime RecordingControl::NowInFrameTime() const {
  return live_ ? clock_.Now().wall : WallTime(newest_);
}

Result<std::string> RecordingControl::StartWithLeadIn(const RecordingWish& request, WallTime at) {
  if (hooks_.channels) recorder_.SetChannels(hooks_.channels());
  ASSIGN_OR_RETURN(const std::string path, recorder_.Start(request));
  if (hooks_.begun) hooks_.begun();
  lead_in_.Trim(at);
  recorder_.Append(lead_in_.frames());
  for (const session::Event& event : lead_in_.events()) (void)recorder_.AddEvent(event);
  lead_in_.Clear();
  return path;
}

Result<RecordingInfo> RecordingControl::Stop() { return recorder_.Stop(); }

std::size_t RecordingControl::NextSlice(std::span<const Frame> frames) const {
  if (policy_.when == RecordWhen::kAsked || frames.empty()) return frames.size();
  const WallTime first = frames.front().time;
  const auto end = std::find_if(frames.begin(), frames.end(), [first](const Frame& frame) {
    return frame.time - first >= kSlice || first - frame.time >= kSlice;
  });
  return static_cast<std::size_t>(end - frames.begin());
}

void RecordingControl::Append(std::span<const Frame> frames, std::size_t warnings_on) {
  if (frames.empty()) return;
  NoteNewest(frames.first(1));
  const bool data = std::any_of(frames.begin(), frames.end(),
                                [](const Frame& frame) { return !frame.Is(kErrorMessage); });
  Decide(frames.front().time, data, warnings_on);
  if (recorder_.recording()) {
    recorder_.Append(frames);
  } else {
    lead_in_.Add(frames);
  }
  NoteNewest(frames.last(1));
}

void RecordingControl::NoteNewest(std::span<const Frame> frames) {
  newest_ = std::max(newest_, frames.front().time.time_since_epoch());
}

// First what the time that passed has ended, then what is new has begun.
void RecordingControl::Decide(WallTime at, bool frames, std::size_t warnings_on) {
  if (policy_.when == RecordWhen::kAsked) return;
  const Duration now = SourceTime();
  TakeIn(false);
  if (recorder_.recording() && cause_.WantsStop(now)) {
    (void)recorder_.Stop();
    TakeIn(true);
  }
  cause_.Note(now, frames, warnings_on);
  if (recorder_.recording() || !cause_.Waits(now)) not_begun_.clear();
  if (recorder_.recording() || !cause_.WantsStart(now)) return;
  const auto path = StartWithLeadIn(policy_.wish, at);
  not_begun_ = path.status().message();
  if (path.ok()) return cause_.Begun();
  cause_.NotBegun(now);
  log_.Error("Recording did not begin and is tried again: " + path.status().message());
}

Status RecordingControl::AddEvent(const session::Event& event) {
  if (recorder_.recording()) return recorder_.AddEvent(event);
  lead_in_.AddEvent(event);
  return Status::Ok();
}

void RecordingControl::Tick(std::size_t warnings_on) {
  recorder_.Tick();
  Decide(NowInFrameTime(), false, warnings_on);
}

void RecordingControl::TakeIn(bool by_itself) {
  auto ended = recorder_.TakeEnded();
  if (!ended) return;
  cause_.Ended(SourceTime(), by_itself || !ended->problem.empty());
  ended_.push_back(std::move(*ended));
}

std::optional<RecordingInfo> RecordingControl::TakeEnded() {
  TakeIn(false);
  if (ended_.empty()) return std::nullopt;
  RecordingInfo ended = std::move(ended_.front());
  ended_.pop_front();
  return ended;
}

}  // namespace proofdrive::daemon
