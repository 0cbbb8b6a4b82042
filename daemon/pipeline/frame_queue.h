// The bounded queue between the sources' threads and the writing thread.
//
// A live source cannot wait: what does not fit is dropped and counted. A replay or the bench
// vehicle waits, so nothing of it is ever dropped. Events and tasks take the same way, in the same
// order.
#pragma once

#include <algorithm>
#include <condition_variable>
#include <cstdint>
#include <functional>
#include <map>
#include <mutex>
#include <span>
#include <vector>

#include "core/frame/frame.h"
#include "daemon/sources/can/channel_condition.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

// What the writing thread takes at once.
struct QueueBatch {
  std::vector<Frame> frames;
  std::vector<session::Event> events;
  std::vector<std::function<void()>> tasks;     // to run after frames and events are handled
  std::map<std::uint8_t, std::uint64_t> drops;  // channel -> frames dropped since the last batch
  std::map<std::uint8_t, ChannelCondition> conditions;  // channel -> newest, if it changed
  std::uint64_t dropped_events = 0;
  bool closed = false;  // nothing will ever follow

  bool empty() const {
    return frames.empty() && events.empty() && tasks.empty() && drops.empty() &&
           conditions.empty() && dropped_events == 0;
  }
};

// Any number of threads may put, one takes.
class FrameQueue {
 public:
  // Frames, about 17 MB: 1.1 s of eight buses as full as 1 Mbit/s allows (21,277 frames/s each, ISO
  // 11898-1), while the disk makes the writing thread wait.
  static constexpr std::size_t kDefaultCapacity = std::size_t{3} << 16;
  static constexpr std::size_t kEventCapacity = 10000;

  // Waking the writing thread costs more than handling a frame: it is woken when the first frame
  // comes, and then given this long to find more, or so many.
  static constexpr Duration kGatherTime = std::chrono::milliseconds(10);
  static constexpr std::size_t kEnough = 4096;

  explicit FrameQueue(std::size_t capacity = kDefaultCapacity)
      : capacity_(capacity), enough_(std::min(kEnough, capacity / 2 + 1)) {}

  // Never waits. Takes what fits, from the front of `frames`; drops and counts the rest.
  void Offer(std::span<const Frame> frames);
  // Waits for room. False when the queue was closed; the frames are not in it then.
  bool Put(std::span<const Frame> frames);
  // Never waits. Events over kEventCapacity are dropped and counted.
  void PutEvent(const session::Event& event);
  // Never waits. Replaces what is still waiting for the same channel.
  void PutCondition(std::uint8_t channel, const ChannelCondition& condition);
  // `task` runs on the writing thread. False when the queue was closed.
  bool PutTask(std::function<void()> task);

  // Everything in the queue, at the latest after `timeout` and kGatherTime what there is then
  // (perhaps nothing). Tasks are handed out at once.
  // Replaces the contents of `batch` and reuses its memory.
  void Take(QueueBatch& batch, Duration timeout);

  // No more is taken in; what is inside can still be taken out.
  void Close();

 private:
  void CountDrops(std::span<const Frame> frames);
  // Appends; true when the taker must be woken.
  bool Add(std::span<const Frame> frames);
  bool IsUrgent() const;

  const std::size_t capacity_;
  const std::size_t enough_;
  std::mutex mutex_;
  std::condition_variable filled_;
  std::condition_variable drained_;
  QueueBatch waiting_;
};

}  // namespace proofdrive::daemon
