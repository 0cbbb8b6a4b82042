#include "analysis/traffic_stats.h"

#include <algorithm>

namespace proofdrive::analysis {
namespace {

constexpr std::uint8_t kKindFlags = kExtendedId | kRemote | kErrorMessage;

}  // namespace

void TrafficStats::Add(const Frame& frame, Duration at) {
  const auto flags = static_cast<std::uint8_t>(frame.flags & kKindFlags);
  Stream& stream = streams_[{frame.channel, frame.id, flags}];
  StreamTraffic& traffic = stream.traffic;
  if (traffic.frames == 0) {
    traffic.channel = frame.channel;
    traffic.id = frame.id;
    traffic.flags = flags;
    traffic.first = at;
  } else if (frame.time >= stream.last_stamp) {
    const Duration interval = frame.time - stream.last_stamp;
    traffic.longest_silence = std::max(traffic.longest_silence, interval);
    stream.intervals.Add(static_cast<float>(ToSeconds(interval)));
  }
  ++traffic.frames;
  ++traffic.lengths[frame.length];
  traffic.last = at;
  stream.last_stamp = frame.time;
}

std::vector<StreamTraffic> TrafficStats::Finish() const {
  std::vector<StreamTraffic> all;
  for (const auto& [key, stream] : streams_) {
    StreamTraffic traffic = stream.traffic;
    const std::vector<double> intervals = stream.intervals.kept();
    const double median = Median(intervals);
    traffic.median_period = FromSeconds(median);
    traffic.spread = FromSeconds(RobustSpread(intervals, median));
    all.push_back(std::move(traffic));
  }
  return all;
}

}  // namespace proofdrive::analysis
