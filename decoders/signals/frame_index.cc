#include "decoders/signals/frame_index.h"

#include <algorithm>
#include <string>

namespace proofdrive::decoders {

FrameIndex::FrameIndex(const Definitions& definitions, std::span<const ChannelBus> channels) {
  std::vector<std::string> names = {""};  // channels that are not listed: any bus
  buses_.push_back(MakeBus(definitions, ""));
  for (const ChannelBus& channel : channels) {
    auto found = std::find(names.begin(), names.end(), channel.bus);
    if (found == names.end()) {
      buses_.push_back(MakeBus(definitions, channel.bus));
      names.push_back(channel.bus);
      found = names.end() - 1;
    }
    bus_of_channel_[channel.channel] = static_cast<std::uint8_t>(found - names.begin());
  }
}

FrameIndex::Bus FrameIndex::MakeBus(const Definitions& definitions, const std::string& name) {
  Bus bus;
  std::vector<std::int32_t> extended;
  for (std::size_t i = 0; i < definitions.frames.size(); ++i) {
    const FrameDefinition& frame = definitions.frames[i];
    if (!name.empty() && !frame.bus.empty() && frame.bus != name) continue;
    if (frame.mask != (frame.extended ? kMaxExtendedId : kMaxBaseId)) {
      bus.masked.push_back({frame.id, frame.mask, frame.extended, static_cast<std::int32_t>(i)});
      continue;
    }
    if (frame.extended) {
      extended.push_back(static_cast<std::int32_t>(i));
      continue;
    }
    if (bus.base.empty()) bus.base.assign(kMaxBaseId + 1, -1);
    std::int32_t& slot = bus.base[frame.id & kMaxBaseId];
    if (slot < 0) slot = static_cast<std::int32_t>(i);
  }
  if (extended.empty()) return bus;
  std::size_t size = 16;
  while (size < extended.size() * 2) size *= 2;
  bus.extended.resize(size);
  for (const std::int32_t frame : extended) {
    const std::uint32_t id = definitions.frames[static_cast<std::size_t>(frame)].id;
    std::size_t at = Hash(id) & (size - 1);
    while (bus.extended[at].frame >= 0 && bus.extended[at].id != id) at = (at + 1) & (size - 1);
    if (bus.extended[at].frame < 0) bus.extended[at] = {id, frame};
  }
  return bus;
}

int FrameIndex::Find(const StreamKey& key) const {
  if ((key.flags & (kRemote | kErrorMessage)) != 0) return -1;
  const Bus& bus = buses_[bus_of_channel_[key.channel]];
  int found = -1;
  if ((key.flags & kExtendedId) != 0) {
    found = FindExtended(bus, key.id);
  } else if (!bus.base.empty() && key.id <= kMaxBaseId) {
    found = bus.base[key.id];
  }
  return found >= 0 || bus.masked.empty() ? found : FindMasked(bus, key);
}

int FrameIndex::FindExtended(const Bus& bus, std::uint32_t id) {
  if (bus.extended.empty()) return -1;
  const std::size_t last = bus.extended.size() - 1;
  for (std::size_t at = Hash(id) & last;; at = (at + 1) & last) {
    const Slot& slot = bus.extended[at];
    if (slot.frame < 0 || slot.id == id) return slot.frame;
  }
}

int FrameIndex::FindMasked(const Bus& bus, const StreamKey& key) {
  const bool extended = (key.flags & kExtendedId) != 0;
  for (const Masked& masked : bus.masked) {
    if (masked.extended == extended && (key.id & masked.mask) == masked.id) return masked.frame;
  }
  return -1;
}

}  // namespace proofdrive::decoders
