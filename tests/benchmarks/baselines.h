// The simple ways of storing frames that sessions are measured against. All compress with zstd
// level 3, those in memory in runs of 65,536 frames.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/frame/frame.h"

namespace proofdrive::benchmarks {

using Runs = std::vector<std::string>;
std::size_t BytesOf(const Runs& runs);

// What a reader computes from all frames, so that none can be left out.
inline std::uint64_t Digest(std::uint64_t sum, const Frame& frame) {
  return sum + frame.data[0] + frame.id + static_cast<std::uint64_t>(ToNanoseconds(frame.time));
}

// 24-byte records: time, identifier, channel, flags, length, 8 data bytes.
inline constexpr std::size_t kRawBytes = 24;
Runs WriteRaw(const std::vector<Frame>& frames);
std::uint64_t ReadRaw(const Runs& runs);

// One delimited protobuf message per frame.
Runs WriteMessages(const std::vector<Frame>& frames);
std::uint64_t ReadMessages(const Runs& runs);

// A pcapng capture in a file of `folder`, removed again; its size after compression as one stream.
std::uint64_t CaptureBytes(const std::vector<Frame>& frames, const std::string& folder);

}  // namespace proofdrive::benchmarks
