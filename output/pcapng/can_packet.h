// The bytes of one CAN frame in a capture: LINKTYPE_CAN_SOCKETCAN (227) as described by
// tcpdump.org. The identifier is big endian always, whatever the byte order of the file.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "core/base/bytes.h"
#include "core/frame/frame.h"

namespace proofdrive::output {

enum class PacketKind {
  kFrame,
  kExtraLong,  // CAN XL, which sessions do not hold
  kMalformed,
};

// Reads one packet. `original_length` is its length on the wire as the file states it; `packet` may
// be shorter (cut while capturing) or longer (padded). kFrame fills everything of `frame` but time,
// channel and kSentHere; kMalformed sets `why`.
PacketKind DecodeCanPacket(ByteSpan packet, std::uint32_t original_length, Frame& frame,
                           std::string& why);

// REQUIRES: Validate(frame).ok(). Without padding.
std::vector<std::uint8_t> EncodeCanPacket(const Frame& frame);

}  // namespace proofdrive::output
