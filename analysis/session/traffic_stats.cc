#include "analysis/session/traffic_stats.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace proofdrive::analysis {
namespace {

constexpr std::uint8_t kKindFlags = kExtendedId | kRemote | kErrorMessage;

}  // namespace

TrafficStats::Stream& TrafficStats::StreamOf(const Frame& frame, std::uint8_t flags) {
  const std::uint64_t key =
      std::uint64_t{frame.channel} << 40 | std::uint64_t{flags} << 32 | frame.id;
  Found& found = found_[(frame.id ^ frame.id >> 10 ^ std::uint32_t{frame.channel} << 8) % 1024];
  if (found.stream == nullptr || found.key != key) {
    found = {key, &streams_[{frame.channel, frame.id, flags}]};
  }
  return *found.stream;
}

void TrafficStats::Add(const Frame& frame, Duration at) {
  const auto flags = static_cast<std::uint8_t>(frame.flags & kKindFlags);
  Stream& stream = StreamOf(frame, flags);
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
  stream.bits.Add(frame.payload(), at);
  ++traffic.frames;
  if (stream.last_length == nullptr || stream.length != frame.length) {
    stream.last_length = &traffic.lengths[frame.length];
    stream.length = frame.length;
  }
  ++*stream.last_length;
  traffic.last = at;
  stream.last_stamp = frame.time;
}

void TrafficStats::Summarise(const Stream& stream, StreamTraffic& traffic) {
  traffic.changed = stream.bits.Ever();
  traffic.always_changing = stream.bits.Always();
  traffic.last_payload = stream.bits.Last();
  traffic.intervals = stream.intervals.seen();
  std::vector<double> kept = stream.intervals.kept();
  const double median = Median(kept);
  traffic.median_period = FromSeconds(median);
  traffic.spread = FromSeconds(RobustSpread(kept, median));
  if (kept.empty()) return;
  double late = 0, missed = 0;
  for (const double interval : kept) {
    if (median <= 0 || interval <= kLateRatio * median) continue;
    ++late;
    missed += std::round(interval / median) - 1;
  }
  // Only a part of the intervals of a long session is kept.
  const double scale =
      static_cast<double>(stream.intervals.seen()) / static_cast<double>(kept.size());
  traffic.late = static_cast<std::uint64_t>(std::llround(late * scale));
  traffic.missed = static_cast<std::uint64_t>(std::llround(missed * scale));
  traffic.percentiles = Percentiles(std::move(kept));
}

std::vector<StreamTraffic> TrafficStats::Finish() const {
  std::vector<StreamTraffic> all;
  for (const auto& [key, stream] : streams_) {
    StreamTraffic traffic = stream.traffic;
    Summarise(stream, traffic);
    all.push_back(std::move(traffic));
  }
  return all;
}

}  // namespace proofdrive::analysis
