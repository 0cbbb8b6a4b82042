// The buses of the bench vehicle, as channel offsets in what it sends.
#pragma once

#include <cstdint>

namespace proofdrive::bench {

inline constexpr std::uint8_t kPackBus = 0;   // bus "pack", 500 kbit/s
inline constexpr std::uint8_t kDriveBus = 1;  // bus "drive", 500 kbit/s

}  // namespace proofdrive::bench
