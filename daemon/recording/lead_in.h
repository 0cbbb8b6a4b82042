// The last seconds before a recording begins, kept in memory so that it can begin with them.
#pragma once

#include <deque>
#include <span>
#include <vector>

#include "core/frame/frame.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

// One thread.
class LeadIn {
 public:
  static constexpr std::size_t kMostFrames = std::size_t{1} << 17;  // about 12 MB
  static constexpr std::size_t kMostEvents = 1000;

  // Zero keeps nothing.
  explicit LeadIn(Duration length) : length_(length) {}

  // Frames in order of arrival. What is older than the length before the newest is forgotten.
  void Add(std::span<const Frame> frames);
  void AddEvent(const session::Event& event);
  void Clear();
  // Forgets what is older than the length before `at`.
  void Trim(WallTime at);

  // In order of arrival.
  std::vector<Frame> frames() const { return {frames_.begin(), frames_.end()}; }
  const std::deque<session::Event>& events() const { return events_; }

 private:
  const Duration length_;
  std::deque<Frame> frames_;
  std::deque<session::Event> events_;
};

}  // namespace proofdrive::daemon
