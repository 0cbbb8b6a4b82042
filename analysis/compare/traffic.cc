#include "analysis/compare/traffic.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>

namespace proofdrive::analysis {
namespace {

std::set<std::uint8_t> ChannelsUsed(const SessionFindings& findings) {
  std::set<std::uint8_t> channels;
  for (const StreamTraffic& stream : findings.traffic) channels.insert(stream.channel);
  for (const session::Channel& channel : findings.header.channels) channels.insert(channel.number);
  return channels;
}

// Channel of `after` -> channel of `before`. Unmatched ones get numbers of their own from 256 up.
std::map<std::uint8_t, int> MatchChannels(const SessionFindings& before,
                                          const SessionFindings& after) {
  std::map<std::uint8_t, int> matched;
  std::set<std::uint8_t> free = ChannelsUsed(before);
  const std::set<std::uint8_t> channels = ChannelsUsed(after);
  for (const std::uint8_t channel : channels) {
    const std::string label = ChannelLabel(after.header, channel);
    const auto same = std::find_if(free.begin(), free.end(), [&](std::uint8_t other) {
      return ChannelLabel(before.header, other) == label;
    });
    if (same == free.end()) continue;
    matched[channel] = *same;
    free.erase(same);
  }
  for (const std::uint8_t channel : channels) {
    if (matched.contains(channel)) continue;
    matched[channel] = free.erase(channel) == 1 ? channel : 256 + channel;
  }
  return matched;
}

// Error messages are reports of the adapter, not traffic of the vehicle.
bool IsTraffic(const StreamTraffic& stream) { return (stream.flags & kErrorMessage) == 0; }

StreamName NameOf(const SessionFindings& findings, const StreamTraffic& stream) {
  return {ChannelLabel(findings.header, stream.channel), stream.id, stream.flags, stream.frame};
}

// True when `count` events that are all on this side may be there by chance.
bool MayBeChance(std::uint64_t count, double here, double there) {
  if (there <= 0) return true;
  return std::pow(here / (here + there), static_cast<double>(count)) >= kChance;
}

OneSided MakeOneSided(const StreamTraffic& stream, const SessionFindings& here,
                      const SessionFindings& there) {
  return {NameOf(here, stream), stream.frames, stream.median_period,
          MayBeChance(stream.frames, ToSeconds(here.length), ToSeconds(there.length))};
}

double MeanPeriod(const StreamTraffic& stream) {
  return ToSeconds(stream.last - stream.first) / static_cast<double>(stream.frames - 1);
}

// True when b is outside 1/kPeriodRatio..kPeriodRatio of a, upward or downward as `up` says.
bool Differs(double a, double b, bool up) {
  return up ? b > a * kPeriodRatio : b * kPeriodRatio < a;
}

// Median and mean must agree: the median alone jumps when frames are sent in bursts, the mean alone
// when a sender pauses.
bool PeriodChanged(const StreamTraffic& before, const StreamTraffic& after) {
  if (before.frames <= kMinIntervals || after.frames <= kMinIntervals) return false;
  const double a = ToSeconds(before.median_period);
  const double b = ToSeconds(after.median_period);
  const bool up = b > a;
  const double spread = ToSeconds(before.spread + after.spread);
  return Differs(a, b, up) && Differs(MeanPeriod(before), MeanPeriod(after), up) &&
         std::fabs(b - a) > kSpreads * spread;
}

// A length that `stream` has and `other` lacks, and not by chance.
bool HasOwnLength(const StreamTraffic& stream, const StreamTraffic& other) {
  return std::any_of(stream.lengths.begin(), stream.lengths.end(), [&](const auto& entry) {
    return !other.lengths.contains(entry.first) &&
           !MayBeChance(entry.second, static_cast<double>(stream.frames),
                        static_cast<double>(other.frames));
  });
}

void CompareStream(const StreamTraffic& old, const StreamTraffic& now, const SessionFindings& after,
                   TrafficComparison& comparison) {
  ++comparison.in_both;
  if (PeriodChanged(old, now)) {
    comparison.period.push_back({NameOf(after, now), old.median_period, now.median_period});
  }
  if (HasOwnLength(old, now) || HasOwnLength(now, old)) {
    comparison.length.push_back({NameOf(after, now), old.lengths, now.lengths});
  }
}

}  // namespace

TrafficComparison CompareTraffic(const SessionFindings& before, const SessionFindings& after) {
  std::map<std::tuple<int, std::uint32_t, std::uint8_t>, const StreamTraffic*> old;
  for (const StreamTraffic& stream : before.traffic) {
    if (IsTraffic(stream)) old[{stream.channel, stream.id, stream.flags}] = &stream;
  }
  std::map<std::uint8_t, int> channels = MatchChannels(before, after);
  TrafficComparison comparison;
  for (const StreamTraffic& stream : after.traffic) {
    if (!IsTraffic(stream)) continue;
    const auto found = old.find({channels[stream.channel], stream.id, stream.flags});
    if (found == old.end()) {
      comparison.only_after.push_back(MakeOneSided(stream, after, before));
      continue;
    }
    CompareStream(*found->second, stream, after, comparison);
    old.erase(found);
  }
  for (const StreamTraffic& stream : before.traffic) {
    if (old.contains({stream.channel, stream.id, stream.flags})) {
      comparison.only_before.push_back(MakeOneSided(stream, before, after));
    }
  }
  return comparison;
}

}  // namespace proofdrive::analysis
