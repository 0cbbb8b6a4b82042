// A synthetic log for size and speed figures: made from a seed, always the same.
//
// 80 identifiers on one 500 kbit/s bus, periods 10 to 1000 ms with clock drift and release jitter,
// arbitration by identifier, times in whole microseconds. Payloads mix slow physical values with
// noise, flags and constants; about half of the frames carry a counter and a checksum.
#pragma once

#include <cstdint>
#include <vector>

#include "core/frame/frame.h"

namespace proofdrive::bench {

std::vector<Frame> MakeReferenceLog(std::size_t frames, std::uint64_t seed);

}  // namespace proofdrive::bench
