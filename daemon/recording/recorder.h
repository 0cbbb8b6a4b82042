// Turns what comes out of the queue into sessions: one recording at a time, synced every second,
// split into parts when it is long, ended in good order when its time is over. Before the disk is
// full it pauses, counts what is lost, and goes on when there is room.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>

#include "core/base/clock.h"
#include "core/base/counters.h"
#include "core/base/files.h"
#include "core/base/log.h"
#include "daemon/recording/clock_watch.h"
#include "daemon/recording/recording_files.h"
#include "daemon/recording/recording_policy.h"
#include "daemon/recording/upkeep.h"
#include "session/writer.h"

namespace proofdrive::daemon {

// A recording under way, or one that has just ended.
struct RecordingInfo {
  std::string name;
  std::string path;  // of the first part
  session::Stage stage = session::Stage::kUnspecified;
  std::uint32_t parts = 1;
  session::WriterStats written;  // all parts
  std::uint64_t durable = 0;     // frames that survive a power cut now
  std::uint64_t drops = 0;       // frames lost by kernel, queue and full disk while it was recorded
  Duration length{0};  // source time from the first frame stored to the last; never below 0
  std::optional<Duration> planned;  // length asked for; nullopt = until stopped
  bool complete = false;            // ended: has its footer, and no file of it was lost
  std::string paused;               // why nothing is stored at the moment; empty: all is stored
  std::string trouble;              // what happened to its files meanwhile; empty: nothing
  std::string problem;              // why it ended before anybody asked; empty when all went well
};

// What every recording of one daemon has in common.
struct RecorderSetup {
  std::string directory;   // of the sessions; created when missing
  session::Header header;  // what does not depend on the single recording
  bool live = true;        // lengths count this machine's time, else the frames' times
  PartLimits parts;
  std::optional<std::uint64_t> budget;  // bytes of the recordings this program made there
  bool upkeep_aside = false;  // look at the folder on a thread of its own, not on this one
  // Bytes left free on the disk so that a session can always be completed: room for the last chunk,
  // which is at most what the journal holds (64 Ki frames of FD), and its footer.
  std::uint64_t reserve = std::uint64_t{16} << 20;
};

// One thread. `files`, `clock`, `log` and `counters` must outlive the recorder.
class Recorder {
 public:
  static constexpr Duration kSyncTime = std::chrono::seconds(1);
  // How often a full disk is looked at again; also the shortest pause, so that a disk that fails
  // although it has room is not tried all the time.
  static constexpr Duration kPauseTime = std::chrono::seconds(5);
  // How long a start waits at most for room to be made.
  static constexpr Duration kPatience = std::chrono::seconds(2);
  // How often the folder is held against its budget.
  static constexpr Duration kRetentionTime = std::chrono::minutes(1);

  Recorder(Files& files, const Clock& clock, Log& log, Counters& counters, RecorderSetup setup);
  // An unfinished recording is left interrupted: recoverable, but better call Stop.
  ~Recorder();

  // The channels of recordings from now on: their bit rates may have changed.
  void SetChannels(std::vector<session::Channel> channels);

  // kBusy while recording; kAlreadyExists when the name is taken; kNoSpace when the disk is
  // (almost) full already. Gives the path of the session.
  Result<std::string> Start(const RecordingWish& request);

  // Frames in order of arrival. Those after the asked length are not recorded. A full disk pauses
  // the recording, other failures end it; see TakeEnded. No effect when nothing is recorded.
  void Append(std::span<const Frame> frames);
  // Stored with the session; a mark is durable on return. Drops are counted. While paused only
  // marks are stored. Success when nothing is recorded.
  Status AddEvent(const session::Event& event);
  // To be called at least every 100 ms: syncs, watches clock and disk, ends by time.
  void Tick();

  // Completes the recording. kUnavailable when nothing is recorded.
  Result<RecordingInfo> Stop();

  bool recording() const { return files_of_ != nullptr; }
  // REQUIRES: recording().
  RecordingInfo info() const;
  // The recording that ended since the last call, by whatever cause.
  std::optional<RecordingInfo> TakeEnded();
  // The disk and the budget, as of the last look at them.
  SpaceInfo space() const { return upkeep_.info(); }

 private:
  struct Pause {
    std::string why;
    SteadyTime since;
    SteadyTime next_try;
    std::map<std::uint8_t, std::uint64_t> lost;  // frames by channel that no event tells of yet
    std::uint64_t lost_frames = 0;
    std::uint64_t lost_events = 0;
  };

  Result<std::string> ChoosePath(RecordingWish& request) const;
  Status CheckSpace();
  void AskForRoom(SteadyTime now);
  std::string UnderWay() const;
  void CheckClock(ClockPair now);
  void WatchDisk(ClockPair now);
  Status Sync();
  void NoteStored(std::span<const Frame> frames);
  void AppendAllowed(std::span<const Frame> frames);
  void BeginPause(const Status& status);
  void CountLost(std::span<const Frame> frames);
  Status StoreGap();
  void Resume(ClockPair now);
  void End(const std::string& problem);
  // Pauses or ends, by the kind of failure.
  void Fail(const Status& status);

  Files& files_;
  const Clock& clock_;
  Log& log_;
  Counters& counters_;
  RecorderSetup setup_;
  Upkeep upkeep_;

  std::unique_ptr<RecordingFiles> files_of_;  // of the recording under way
  RecordingWish request_;
  ClockPair started_{};
  SteadyTime last_sync_;
  SteadyTime last_upkeep_;
  std::optional<SteadyTime> asked_for_room_;
  std::optional<ClockWatch> clock_watch_;
  std::optional<WallTime> first_frame_;
  std::optional<WallTime> first_stored_;
  WallTime last_stored_;
  std::uint64_t drops_ = 0;
  std::optional<Pause> pause_;
  std::optional<RecordingInfo> ended_;
};

}  // namespace proofdrive::daemon
