// Counts and periods of every identifier, gathered frame by frame.
#pragma once

#include <array>
#include <map>
#include <tuple>
#include <vector>

#include "analysis/session/bit_activity.h"
#include "analysis/session/stream_traffic.h"
#include "analysis/statistics/summaries.h"
#include "core/frame/frame.h"

namespace proofdrive::analysis {

class TrafficStats {
 public:
  TrafficStats() = default;
  TrafficStats(const TrafficStats&) = delete;  // it points into itself
  TrafficStats& operator=(const TrafficStats&) = delete;

  // `at`: session time. Intervals are taken from the frames' own times; one that is negative (the
  // clock was set back) is left out.
  void Add(const Frame& frame, Duration at);

  // Sorted by channel, id, flags. StreamTraffic::frame is left empty.
  std::vector<StreamTraffic> Finish() const;

 private:
  // Intervals kept per stream for median and spread: bounded, so that a long session needs no more
  // memory than a short one.
  static constexpr std::size_t kKeptIntervals = 1 << 15;
  struct Stream {
    StreamTraffic traffic;
    WallTime last_stamp;
    std::uint64_t* last_length = nullptr;     // count of the length of the last frame
    std::uint8_t length = 0;                  // which that is
    ThinnedValues intervals{kKeptIntervals};  // seconds
    BitActivity bits;
  };
  static void Summarise(const Stream& stream, StreamTraffic& traffic);
  Stream& StreamOf(const Frame& frame, std::uint8_t flags);
  using Key = std::tuple<std::uint8_t, std::uint32_t, std::uint8_t>;

  std::map<Key, Stream> streams_;
  // Where a key was found last: most frames need no search.
  struct Found {
    std::uint64_t key = 0;
    Stream* stream = nullptr;
  };
  std::array<Found, 1024> found_{};
};

}  // namespace proofdrive::analysis
