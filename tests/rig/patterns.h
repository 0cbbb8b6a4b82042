// Frames that go through every kind, identifier width and length, with seeded contents.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "core/base/result.h"
#include "core/frame/frame.h"

namespace proofdrive::rig {

// "classic": data frames of 0..8 bytes and remote frames, both identifier widths. Its remote frames
// ask for no data: the emulated controller never frees the room of the data bytes they do not have.
// "fd": FD frames of every length up to 64, with and without bit-rate switch, between classic ones
// and remote frames of any length. Times start at zero and are `every` apart.
// "errors": what a controller tells of a disturbed bus, in cycles of eight: error warning, error
// passive, bus-off, restarted, error active, lost arbitration, no acknowledge, stuff error.
// kNotFound: no such pattern.
Result<std::vector<Frame>> MakePattern(std::string_view name, std::size_t count, Duration every,
                                       std::uint64_t seed);

}  // namespace proofdrive::rig
