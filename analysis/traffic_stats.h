// Counts and periods of every identifier, gathered frame by frame.
#pragma once

#include <map>
#include <tuple>
#include <vector>

#include "analysis/session_findings.h"
#include "analysis/statistics.h"
#include "core/frame/frame.h"

namespace proofdrive::analysis {

class TrafficStats {
 public:
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
    ThinnedValues intervals{kKeptIntervals};  // seconds
  };
  using Key = std::tuple<std::uint8_t, std::uint32_t, std::uint8_t>;

  std::map<Key, Stream> streams_;
};

}  // namespace proofdrive::analysis
