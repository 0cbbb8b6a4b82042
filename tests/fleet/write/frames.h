// What a car sent, as frames on one bus.
#pragma once

#include <cstdint>
#include <vector>

#include "core/frame/frame.h"
#include "tests/fleet/sensors/sent.h"

namespace proofdrive::fleet {

struct Place {
  int bytes = 2;  // of one value
};
Place PlaceOf(const SentSignal& signal);
std::uint32_t FrameId(std::size_t number);

// In order of time.
std::vector<Frame> FramesOf(const Sent& sent, WallTime start);

}  // namespace proofdrive::fleet
