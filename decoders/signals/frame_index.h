// From the identifier of a frame to its definition in one look-up, whatever the number of frames.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "core/frame/frame.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/channel_bus.h"

namespace proofdrive::decoders {

class FrameIndex {
 public:
  FrameIndex(const Definitions& definitions, std::span<const ChannelBus> channels);

  // Index into Definitions::frames or -1. When frames of several buses match because the bus of the
  // channel is not stated, the first one defined.
  int Find(const StreamKey& key) const;

 private:
  struct Slot {
    std::uint32_t id = 0;
    std::int32_t frame = -1;  // -1: empty
  };
  // A frame that stands for many identifiers.
  struct Masked {
    std::uint32_t id = 0;
    std::uint32_t mask = 0;
    std::int32_t frame = -1;
  };
  // The frames that may appear on one bus.
  struct Bus {
    std::vector<std::int32_t> base;  // by 11-bit identifier, masks included
    std::vector<Slot> extended;      // open addressing, a power of two; empty when there are none
    std::vector<Masked> masked;      // extended; when nothing else matches, in order of definition
  };
  static Bus MakeBus(const Definitions& definitions, const std::string& name);
  static void AddBase(std::uint32_t id, std::uint32_t mask, std::int32_t index, Bus& bus);
  static void FillExtended(std::span<const Slot> frames, Bus& bus);
  static int FindExtended(const Bus& bus, std::uint32_t id);
  static std::size_t Hash(std::uint32_t id) { return (id * std::uint64_t{0x9E3779B1}) >> 16; }

  std::vector<Bus> buses_;
  std::array<std::uint8_t, 256> bus_of_channel_{};
};

}  // namespace proofdrive::decoders
