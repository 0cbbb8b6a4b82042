// What the daemon knows at one instant. Made on the writing thread, read by every other: immutable.
#pragma once

#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/base/counters.h"
#include "daemon/live/live_decoder.h"
#include "daemon/recording/recorder.h"
#include "daemon/sources/can/channel_condition.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

struct ChannelTraffic {
  session::Channel channel;
  std::uint64_t frames = 0;     // since the daemon started; without error messages
  std::uint64_t errors = 0;     // error messages of the controller since the daemon started
  std::uint64_t described = 0;  // of these frames, in the definition files
  double frames_per_s = 0;      // over the last second
  // Part of the last second the bus was busy (0..1), without stuff bits and with as many as there
  // can be (ISO 11898-1). Both 0 when the bit rate is not known.
  double load_least = 0;
  double load_most = 0;
  std::string state;  // last change: "down", "bus-off", ...; empty when there was none
  std::optional<SteadyTime> last_frame;       // when a frame was taken from the queue
  std::optional<ChannelCondition> condition;  // nullopt: not an adapter, or nothing told yet
};

struct Snapshot {
  WallTime time;                            // of the source: simulated, recorded or this machine's
  SteadyTime now{};                         // of this machine
  SteadyTime started{};                     // when the daemon did
  std::optional<std::uint64_t> free_bytes;  // left for sessions; nullopt: not known
  std::string sources;                      // as given on the command line
  std::uint64_t frames = 0;                 // since the daemon started
  double frames_per_s = 0;                  // over the last second
  std::uint64_t drops = 0;                  // since the daemon started, kernel and queue
  std::vector<ChannelTraffic> channels;
  std::optional<RecordingInfo> recording;  // under way
  std::optional<RecordingInfo> last_recording;
  std::string not_recording;  // why none began although one should; empty: none should
  SpaceInfo space;
  // Null without definition files; then the next two are empty.
  std::shared_ptr<const decoders::Definitions> definitions;
  std::vector<LatestValue> values;
  std::vector<decoders::WarningSpan> warnings;
  std::array<std::uint64_t, kCounterCount> counts{};

  std::size_t WarningsOn() const {
    std::size_t on = 0;
    for (const auto& span : warnings) on += span.kind == decoders::WarningStateKind::kOn ? 1 : 0;
    return on;
  }
};

// Hands the newest snapshot from one thread to the others. Never null.
class SnapshotBox {
 public:
  void Set(std::shared_ptr<const Snapshot> snapshot) {
    const std::lock_guard lock(mutex_);
    snapshot_ = std::move(snapshot);
  }
  std::shared_ptr<const Snapshot> Get() const {
    const std::lock_guard lock(mutex_);
    return snapshot_;
  }

 private:
  mutable std::mutex mutex_;
  std::shared_ptr<const Snapshot> snapshot_ = std::make_shared<Snapshot>();
};

}  // namespace proofdrive::daemon
