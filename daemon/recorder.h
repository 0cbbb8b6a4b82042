// Turns what comes out of the queue into sessions: one recording at a time, synced every second,
// ended in good order when its time is over or the disk fills up.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>

#include "core/base/clock.h"
#include "core/base/counters.h"
#include "core/base/files.h"
#include "core/base/log.h"
#include "daemon/clock_watch.h"
#include "daemon/record_request.h"
#include "session/writer.h"

namespace proofdrive::daemon {

// A recording under way, or one that has just ended.
struct RecordingInfo {
  std::string name;
  std::string path;
  session::Stage stage = session::Stage::kUnspecified;
  session::WriterStats written;
  std::uint64_t durable = 0;  // frames that survive a power cut now
  std::uint64_t drops = 0;    // frames lost by kernel and queue while it was recorded
  Duration length{0};         // source time from the first frame to the last
  std::optional<Duration> planned;  // length asked for; nullopt = until stopped
  bool complete = false;      // ended: has its footer
  std::string problem;        // why it ended before anybody asked; empty when all went well
};

// What every recording of one daemon has in common.
struct RecorderSetup {
  std::string directory;   // of the sessions; created when missing
  session::Header header;  // what does not depend on the single recording
  bool live = true;        // lengths count this machine's time, else the frames' times
  // Bytes left free on the disk so that a session can always be completed: room for the last chunk,
  // which is at most what the journal holds (64 Ki frames of FD), and its footer.
  std::uint64_t reserve = std::uint64_t{16} << 20;
};

// One thread. `files`, `clock`, `log` and `counters` must outlive the recorder.
class Recorder {
 public:
  static constexpr Duration kSyncTime = std::chrono::seconds(1);

  Recorder(Files& files, const Clock& clock, Log& log, Counters& counters, RecorderSetup setup);
  // An unfinished recording is left interrupted: recoverable, but better call Stop.
  ~Recorder();

  // The channels of recordings from now on: their bit rates may have changed.
  void SetChannels(std::vector<session::Channel> channels);

  // kBusy while recording; kAlreadyExists when the name is taken; kNoSpace when the disk is
  // (almost) full already. Gives the path of the session.
  Result<std::string> Start(const RecordRequest& request);

  // Frames in order of arrival. Those after the asked length are not recorded. Failures end the
  // recording; see TakeEnded. No effect when nothing is recorded.
  void Append(std::span<const Frame> frames);
  // Stored with the session; a mark is durable on return. Drops are counted.
  void AddEvent(const session::Event& event);
  // To be called at least every 100 ms: syncs, watches clock and disk, ends by time.
  void Tick();

  // Completes the recording. kUnavailable when nothing is recorded.
  Result<RecordingInfo> Stop();

  bool recording() const { return writer_ != nullptr; }
  // REQUIRES: recording().
  RecordingInfo info() const;
  // The recording that ended since the last call, by whatever cause.
  std::optional<RecordingInfo> TakeEnded();

 private:
  Result<std::string> ChoosePath(RecordRequest& request) const;
  Status CheckSpace() const;
  void CheckClock(ClockPair now);
  Status Sync();
  void AppendAllowed(std::span<const Frame> frames);
  void End(const std::string& problem);
  void Fail(const Status& status);

  Files& files_;
  const Clock& clock_;
  Log& log_;
  Counters& counters_;
  RecorderSetup setup_;

  std::unique_ptr<session::Writer> writer_;
  RecordRequest request_;
  std::string path_;
  ClockPair started_{};
  SteadyTime last_sync_;
  std::optional<ClockWatch> clock_watch_;
  std::optional<WallTime> first_frame_;
  WallTime last_frame_;
  std::uint64_t drops_ = 0;
  std::uint64_t durable_ = 0;
  std::optional<RecordingInfo> ended_;
};

}  // namespace proofdrive::daemon
