// What one session shows about one identifier: how often it came, how regularly, what changed in
// it.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "core/base/time.h"

namespace proofdrive::analysis {

// The traffic of one identifier on one channel, all lengths together.
struct StreamTraffic {
  std::uint8_t channel = 0;
  std::uint32_t id = 0;
  std::uint8_t flags = 0;  // of FrameFlag: kExtendedId, kRemote, kErrorMessage only
  std::string frame;       // name in the definitions; empty = not described
  std::uint64_t frames = 0;
  Duration first{0};  // session time
  Duration last{0};
  Duration median_period{0};    // zero with fewer than two frames
  Duration spread{0};           // of the period: median absolute deviation * 1.4826
  Duration longest_silence{0};  // between two frames
  std::map<std::uint8_t, std::uint64_t> lengths;  // data length -> frames
  // Seconds between frames, from the 0th (shortest) to the 100th percentile; empty with fewer than
  // two frames.
  std::vector<float> percentiles;
  std::uint64_t intervals = 0;
  std::uint64_t late = 0;    // intervals longer than kLateRatio median periods; see ScaleUp
  std::uint64_t missed = 0;  // frames that would have fitted into those
  // Bits of the payload that changed at any time, and those that changed in every part of the
  // session (8 to 16 parts of equal length between its first and last frame).
  std::vector<std::uint8_t> changed;
  std::vector<std::uint8_t> always_changing;
  std::vector<std::uint8_t> last_payload;  // of its last frame
};
// An interval this many median periods long is late.
inline constexpr double kLateRatio = 1.5;

}  // namespace proofdrive::analysis
