// Every frame of the bench vehicle in one table: who sends it, when, and how it is filled. The
// definition file decoders/library/bramble-seven.yaml describes the same frames for users. All
// identifiers and layouts are invented.
#pragma once

#include <cstdint>
#include <span>
#include <string_view>

#include "bench/car/car.h"
#include "bench/car/random.h"
#include "bench/frames/buses.h"
#include "bench/frames/frame_writer.h"

namespace proofdrive::bench {

// Where a frame counts its transmissions; last == 0: nowhere.
struct CounterPlace {
  std::uint8_t byte = 0;
  std::uint8_t lowest_bit = 0;
  std::uint8_t last = 0;  // 14 or 15, then 0 again
};

struct ChecksumPlace {
  ChecksumKind kind = ChecksumKind::kNone;
  std::uint8_t byte = 0;
};

struct FrameRow {
  std::string_view name;
  // Control unit that sends it. What units answer to requests: units/unit_node.h.
  std::string_view unit;
  std::uint8_t bus = 0;  // kPackBus or kDriveBus
  std::uint32_t id = 0;
  bool extended = false;
  std::uint32_t period_ms = 0;
  std::uint8_t length = 8;
  // Page numbers sent in turn are 0 .. pages - 1, then `extra_page` when it is not 0.
  std::uint8_t pages = 1;
  std::uint8_t extra_page = 0;
  // Fills everything but counter and checksum. `noise` is that of the sensors.
  void (*fill)(const Car& car, std::uint8_t page, Random& noise, Payload& payload) = nullptr;
  CounterPlace counter;
  ChecksumPlace checksum;
};

std::span<const FrameRow> FrameTable();

}  // namespace proofdrive::bench
