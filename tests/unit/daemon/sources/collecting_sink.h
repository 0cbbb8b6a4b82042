// A sink that keeps what sources deliver, for their tests.
#pragma once

#include <condition_variable>
#include <functional>
#include <mutex>
#include <vector>

#include "daemon/sources/frame_source.h"

namespace proofdrive::daemon {

// Thread-safe.
class CollectingSink : public SourceSink {
 public:
  void OnFrames(std::span<const Frame> frames) override {
    const std::lock_guard lock(mutex_);
    frames_.insert(frames_.end(), frames.begin(), frames.end());
    changed_.notify_all();
  }
  void OnEvent(const session::Event& event) override {
    const std::lock_guard lock(mutex_);
    events_.push_back(event);
    changed_.notify_all();
  }
  void OnCondition(std::uint8_t, const ChannelCondition& condition) override {
    const std::lock_guard lock(mutex_);
    condition_ = condition;
    changed_.notify_all();
  }
  ChannelCondition condition() const {
    const std::lock_guard lock(mutex_);
    return condition_;
  }
  std::vector<Frame> frames() const {
    const std::lock_guard lock(mutex_);
    return frames_;
  }
  std::vector<session::Event> events() const {
    const std::lock_guard lock(mutex_);
    return events_;
  }
  bool WaitForFrames(std::size_t count) {
    std::unique_lock lock(mutex_);
    return changed_.wait_for(lock, kPatience, [&] { return frames_.size() >= count; });
  }
  bool WaitForEvents(std::size_t count) {
    std::unique_lock lock(mutex_);
    return changed_.wait_for(lock, kPatience, [&] { return events_.size() >= count; });
  }

 private:
  // Only a test that fails waits so long.
  static constexpr auto kPatience = std::chrono::seconds(20);

  mutable std::mutex mutex_;
  std::condition_variable changed_;
  std::vector<Frame> frames_;
  std::vector<session::Event> events_;
  ChannelCondition condition_;
};

}  // namespace proofdrive::daemon
