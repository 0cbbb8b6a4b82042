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
  std::vector<Slot> extended;
  std::vector<std::int32_t> masked;
  for (std::size_t i = 0; i < definitions.frames.size(); ++i) {
    const FrameDefinition& frame = definitions.frames[i];
    if (!name.empty() && !frame.bus.empty() && frame.bus != name) continue;
    const auto index = static_cast<std::int32_t>(i);
    const bool is_masked = frame.mask != (frame.extended ? kMaxExtendedId : kMaxBaseId);
    if (frame.extended && is_masked) {
      bus.masked.push_back({frame.id, frame.mask, index});
    } else if (frame.extended) {
      extended.push_back({frame.id, index});
      if (frame.moved_to) extended.push_back({*frame.moved_to, index});
    } else if (is_masked) {
      masked.push_back(index);
    } else {
      AddBase(frame.id, frame.mask, index, bus);
      if (frame.moved_to) AddBase(*frame.moved_to, frame.mask, index, bus);
    }
  }
  for (const std::int32_t index : masked) {
    const FrameDefinition& frame = definitions.frames[static_cast<std::size_t>(index)];
    AddBase(frame.id, frame.mask, index, bus);
  }
  FillExtended(extended, bus);
  return bus;
}

// Every identifier it stands for. What was added before stays.
void FrameIndex::AddBase(std::uint32_t id, std::uint32_t mask, std::int32_t index, Bus& bus) {
  if (bus.base.empty()) bus.base.assign(kMaxBaseId + 1, -1);
  const std::uint32_t free = kMaxBaseId & ~mask;
  for (std::uint32_t bits = free;; bits = (bits - 1) & free) {
    std::int32_t& slot = bus.base[id | bits];
    if (slot < 0) slot = index;
    if (bits == 0) return;
  }
}

void FrameIndex::FillExtended(std::span<const Slot> frames, Bus& bus) {
  if (frames.empty()) return;
  std::size_t size = 16;
  while (size < frames.size() * 2) size *= 2;
  bus.extended.resize(size);
  for (const Slot& slot : frames) {
    std::size_t at = Hash(slot.id) & (size - 1);
    while (bus.extended[at].frame >= 0 && bus.extended[at].id != slot.id) {
      at = (at + 1) & (size - 1);
    }
    if (bus.extended[at].frame < 0) bus.extended[at] = slot;
  }
}

int FrameIndex::Find(const StreamKey& key) const {
  if ((key.flags & (kRemote | kErrorMessage)) != 0) return -1;
  const Bus& bus = buses_[bus_of_channel_[key.channel]];
  if ((key.flags & kExtendedId) != 0) return FindExtended(bus, key.id);
  return bus.base.empty() || key.id > kMaxBaseId ? -1 : bus.base[key.id];
}

int FrameIndex::FindExtended(const Bus& bus, std::uint32_t id) {
  if (!bus.extended.empty()) {
    const std::size_t last = bus.extended.size() - 1;
    for (std::size_t at = Hash(id) & last; bus.extended[at].frame >= 0; at = (at + 1) & last) {
      if (bus.extended[at].id == id) return bus.extended[at].frame;
    }
  }
  for (const Masked& masked : bus.masked) {
    if ((id & masked.mask) == masked.id) return masked.frame;
  }
  return -1;
}

}  // namespace proofdrive::decoders
