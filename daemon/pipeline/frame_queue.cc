#include "daemon/pipeline/frame_queue.h"

#include <algorithm>
#include <utility>

namespace proofdrive::daemon {

void FrameQueue::CountDrops(std::span<const Frame> frames) {
  for (const Frame& frame : frames) ++waiting_.drops[frame.channel];
}

bool FrameQueue::Add(std::span<const Frame> frames) {
  const bool was_empty = waiting_.empty();
  const bool was_urgent = waiting_.frames.size() >= enough_;
  waiting_.frames.insert(waiting_.frames.end(), frames.begin(), frames.end());
  return was_empty || (!was_urgent && waiting_.frames.size() >= enough_);
}

bool FrameQueue::IsUrgent() const {
  return waiting_.closed || !waiting_.tasks.empty() || waiting_.frames.size() >= enough_;
}

void FrameQueue::Offer(std::span<const Frame> frames) {
  bool wake = false;
  {
    const std::lock_guard lock(mutex_);
    const std::size_t used = std::min(capacity_, waiting_.frames.size());
    const std::size_t room = waiting_.closed ? 0 : capacity_ - used;
    const std::size_t count = std::min(room, frames.size());
    wake = Add(frames.first(count));
    CountDrops(frames.subspan(count));
  }
  if (wake) filled_.notify_one();
}

bool FrameQueue::Put(std::span<const Frame> frames) {
  while (!frames.empty()) {
    std::unique_lock lock(mutex_);
    drained_.wait(lock, [this] { return waiting_.closed || waiting_.frames.size() < capacity_; });
    if (waiting_.closed) return false;
    const std::size_t count = std::min(capacity_ - waiting_.frames.size(), frames.size());
    const bool wake = Add(frames.first(count));
    frames = frames.subspan(count);
    lock.unlock();
    if (wake) filled_.notify_one();
  }
  return true;
}

void FrameQueue::PutEvent(const session::Event& event) {
  {
    const std::lock_guard lock(mutex_);
    if (waiting_.closed || waiting_.events.size() >= kEventCapacity) {
      ++waiting_.dropped_events;
    } else {
      waiting_.events.push_back(event);
    }
  }
  filled_.notify_one();
}

void FrameQueue::PutCondition(std::uint8_t channel, const ChannelCondition& condition) {
  {
    const std::lock_guard lock(mutex_);
    waiting_.conditions[channel] = condition;
  }
  filled_.notify_one();
}

bool FrameQueue::PutTask(std::function<void()> task) {
  {
    const std::lock_guard lock(mutex_);
    if (waiting_.closed) return false;
    waiting_.tasks.push_back(std::move(task));
  }
  filled_.notify_one();
  return true;
}

void FrameQueue::Take(QueueBatch& batch, Duration timeout) {
  batch.frames.clear();
  batch.events.clear();
  batch.tasks.clear();
  batch.drops.clear();
  batch.conditions.clear();
  batch.dropped_events = 0;
  {
    std::unique_lock lock(mutex_);
    filled_.wait_for(lock, timeout, [this] { return waiting_.closed || !waiting_.empty(); });
    if (!waiting_.empty()) filled_.wait_for(lock, kGatherTime, [this] { return IsUrgent(); });
    batch.closed = waiting_.closed;
    std::swap(batch, waiting_);
  }
  drained_.notify_all();
}

void FrameQueue::Close() {
  {
    const std::lock_guard lock(mutex_);
    waiting_.closed = true;
  }
  filled_.notify_all();
  drained_.notify_all();
}

}  // namespace proofdrive::daemon
