#include "analysis/compare/channels.h"

#include <algorithm>
#include <set>

namespace proofdrive::analysis {
namespace {

std::set<std::uint8_t> ChannelsUsed(const SessionFindings& findings) {
  std::set<std::uint8_t> channels;
  for (const StreamTraffic& stream : findings.traffic) channels.insert(stream.channel);
  for (const session::Channel& channel : findings.header.channels) channels.insert(channel.number);
  return channels;
}

}  // namespace

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
    matched[channel] = free.erase(channel) == 1 ? channel : kNoChannel + channel;
  }
  return matched;
}

}  // namespace proofdrive::analysis
