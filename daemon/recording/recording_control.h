// Who may begin and end recordings: somebody who asks, or the policy by itself; and what came just
// before.
#pragma once

#include <deque>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "daemon/recording/lead_in.h"
#include "daemon/recording/recorder.h"
#include "daemon/recording/recording_cause.h"
#include "daemon/recording/recording_policy.h"

namespace proofdrive::daemon {

// What the owner knows; called on the same thread, whoever begins a recording.
struct RecordingHooks {
  std::function<std::vector<session::Channel>()> channels;  // as they are now
  std::function<void()> begun;  // a recording has begun; events may be added
};

// One thread. Everything given must outlive the object.
class RecordingControl {
 public:
  // Frames are handed over in slices that span at most this much time, so that a recording begins
  // and ends at the right frame however fast a simulation delivers.
  static constexpr Duration kSlice = std::chrono::milliseconds(100);

  RecordingControl(Files& files, const Clock& clock, Log& log, Counters& counters,
                   RecorderSetup setup, RecordingPolicy policy, RecordingHooks hooks = {});

  // As Recorder. What the policy has begun can be stopped; it begins again with the next cause.
  Result<std::string> Start(const RecordingWish& request);
  Result<RecordingInfo> Stop();

  // How many of the frames to hand to Append at once.
  std::size_t NextSlice(std::span<const Frame> frames) const;
  // `warnings_on`: after these frames.
  void Append(std::span<const Frame> frames, std::size_t warnings_on);
  Status AddEvent(const session::Event& event);
  // To be called at least every 100 ms. `warnings_on`: now.
  void Tick(std::size_t warnings_on);

  bool recording() const { return recorder_.recording(); }
  RecordingInfo info() const { return recorder_.info(); }
  std::optional<RecordingInfo> TakeEnded();
  SpaceInfo space() const { return recorder_.space(); }
  // Why a recording that should have begun by itself has not; empty: none should.
  const std::string& not_begun() const { return not_begun_; }
  RecordWhen when() const { return policy_.when; }

 private:
  Duration SourceTime() const;
  void NoteNewest(std::span<const Frame> frames);
  // `at`: of the cause, as frames are timed.
  void Decide(WallTime at, bool frames, std::size_t warnings_on);
  // What has ended; `by_itself`: because its cause went away.
  void TakeIn(bool by_itself);
  Result<std::string> StartWithLeadIn(const RecordingWish& request, WallTime at);
  WallTime NowInFrameTime() const;

  const Clock& clock_;
  Log& log_;
  const RecordingPolicy policy_;
  const RecordingHooks hooks_;
  const bool live_;
  Recorder recorder_;
  LeadIn lead_in_;
  RecordingCause cause_;
  std::string not_begun_;
  Duration newest_{0};  // frame, since 1970; never goes back
  std::deque<RecordingInfo> ended_;
};

}  // namespace proofdrive::daemon
