// Puts frames of several channels into one order of time without touching the order within any
// channel. Recorders that read their channels in batches write files whose channels are out of
// order with each other by some tens of milliseconds.
#pragma once

#include <array>
#include <chrono>
#include <cstdint>
#include <functional>
#include <optional>
#include <queue>
#include <vector>

#include "core/frame/frame.h"

namespace proofdrive::output {

// How far apart two frames may be and still change places.
struct MergeLimits {
  Duration time = std::chrono::milliseconds(250);
  std::size_t frames = 65536;
};

struct MergeStats {
  // Neighbours in the input of different channels with the later one's time the earlier.
  std::uint64_t cross_steps = 0;
  Duration largest_cross_step{0};
  // The same in the output: what the limits, or a stepping clock, left unmerged.
  std::uint64_t cross_steps_left = 0;
  // A channel's own clock going backward.
  std::uint64_t channel_steps = 0;
  Duration largest_channel_step{0};
};

// A backward step of one channel's clock.
struct ChannelStep {
  std::uint8_t channel = 0;
  WallTime time;  // of the frame after the step
  Duration step;  // negative
};

// The key of a frame is the latest time its channel has shown so far, so that a clock that
// hesitates keeps its channel in order. A clock that goes back by more than the limit empties the
// merger first: times on both sides of such a step cannot be compared. One thread at a time.
class ChannelMerger {
 public:
  using Sink = std::function<void(const Frame&)>;

  ChannelMerger(Sink sink, MergeLimits limits = {}) : sink_(std::move(sink)), limits_(limits) {}

  // Takes the next frame of the input; hands what can no longer change places to the sink. Returns
  // the step when the channel's clock went backward.
  std::optional<ChannelStep> Add(const Frame& frame);
  // Empties the merger and passes `frame` straight on: its place is already right.
  std::optional<ChannelStep> PassOn(const Frame& frame);
  // Hands over everything that is left.
  void Flush();

  const MergeStats& stats() const { return stats_; }

 private:
  struct Waiting {
    WallTime key;
    std::uint64_t sequence = 0;
    Frame frame;
    bool operator>(const Waiting& other) const {
      return key != other.key ? key > other.key : sequence > other.sequence;
    }
  };
  struct ChannelState {
    std::optional<WallTime> previous;  // as stated by the input
    std::optional<WallTime> key;       // latest since the merger was last emptied
  };
  struct Neighbour {
    std::uint8_t channel = 0;
    WallTime time;
  };

  void CountInput(const Frame& frame);
  std::optional<ChannelStep> StepOf(const Frame& frame);
  void HandOverTop();
  void HandOver(const Frame& frame);

  Sink sink_;
  MergeLimits limits_;
  MergeStats stats_;
  std::array<ChannelState, 256> channels_{};
  std::priority_queue<Waiting, std::vector<Waiting>, std::greater<>> waiting_;
  std::uint64_t sequence_ = 0;
  WallTime latest_key_ = WallTime::min();
  std::optional<Neighbour> last_in_;
  std::optional<Neighbour> last_out_;
};

}  // namespace proofdrive::output
