// The writing thread: takes from the queue, records, decodes, tells everybody else what is so.
#pragma once

#include <array>
#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "core/base/clock.h"
#include "core/base/log.h"
#include "daemon/live/live_decoder.h"
#include "daemon/live/load_meter.h"
#include "daemon/live/snapshot.h"
#include "daemon/pipeline/frame_queue.h"
#include "daemon/recording/recording_control.h"

namespace proofdrive::daemon {

struct PipelineSetup {
  RecorderSetup recorder;  // channels are in its header
  RecordingPolicy policy;
  std::shared_ptr<const decoders::Definitions> definitions;  // may be null
  std::string sources;                                       // as given, for the status
  bool end_with_recording = false;  // nothing is of interest after the first recording
  // True when every source of limited length has delivered everything and there is no other.
  // Called on the writing thread.
  std::function<bool()> sources_finished;
  // Called on the writing thread when a recording has ended, by whatever cause.
  std::function<void(const RecordingInfo&)> on_ended;
};

// Created and given its first recording by one thread, then run by another. Commands reach it
// through the queue.
class Pipeline {
 public:
  // How long the thread sleeps at most when nothing comes.
  static constexpr Duration kIdleTime = std::chrono::milliseconds(50);
  static constexpr Duration kPublishTime = std::chrono::milliseconds(100);

  Pipeline(FrameQueue& queue, Files& files, const Clock& clock, Log& log, Counters& counters,
           SnapshotBox& box, PipelineSetup setup);

  // Runs until the queue is closed and empty; then completes a recording under way.
  void Run();

  // --- on the writing thread only (through FrameQueue::PutTask), or before Run ---
  Result<std::string> StartRecording(const RecordingWish& request);
  Result<RecordingInfo> StopRecording();
  // kUnavailable when nothing is recorded. Gives the time of the mark.
  Result<WallTime> Mark(const std::string& text);

 private:
  void Handle(QueueBatch& batch);
  void HandleFrames(std::span<const Frame> frames);
  std::size_t WarningsOn() const;
  void Decode(std::span<const Frame> frames);
  void HandleDrops(const QueueBatch& batch);
  void CountFrames(std::span<const Frame> frames);
  void NoteState(const session::Event& event);
  void HandleConditions(const QueueBatch& batch);
  std::vector<session::Channel> ChannelsNow() const;
  // What the kernel tells of the adapters, into the recording that has just begun.
  void NoteConditions();
  void NoteCondition(const ChannelTraffic& traffic);
  void LogWarningChanges();
  void HandleEnded();
  void TellEnded(const std::optional<RecordingInfo>& ended);
  void MeasureRate(SteadyTime now);
  void Publish();
  // The time that marks and staleness are counted in: of this machine for live sources, else of the
  // newest frame.
  WallTime SourceTime() const;

  FrameQueue& queue_;
  Files& files_;
  const Clock& clock_;
  Log& log_;
  Counters& counters_;
  SnapshotBox& box_;
  const PipelineSetup setup_;
  RecordingControl recording_;
  std::unique_ptr<LiveDecoder> live_;

  std::vector<ChannelTraffic> channels_;
  LoadMeter load_;
  std::array<ChannelTraffic*, 256> by_number_{};  // into channels_; null: no such channel
  std::set<std::uint8_t> noted_;  // channels whose condition the recording under way has
  std::uint64_t frames_ = 0;
  std::optional<WallTime> newest_frame_;
  std::optional<RecordingInfo> last_recording_;
  const SteadyTime started_;
  SteadyTime rate_since_;
  std::uint64_t rate_frames_ = 0;
  double frames_per_s_ = 0;
  bool ended_ = false;  // with end_with_recording: what still comes is taken and forgotten
  SteadyTime published_;
};

}  // namespace proofdrive::daemon
