// Exact length of a classic CAN frame on the wire, stuff bits counted (ISO 11898-1).
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "core/frame/frame.h"

namespace proofdrive {

// SOF to data as sent, one element (0 or 1) per bit, without CRC and without stuff bits.
std::vector<std::uint8_t> UnstuffedHeadAndData(const Frame& frame);

// CRC-15 of ISO 11898-1 (polynomial 0x4599, start 0) over a bit sequence.
std::uint16_t Crc15(const std::vector<std::uint8_t>& bits);

// Bits of a classic data or remote frame from SOF to the end of the 3 intermission bits, with the
// stuff bits its content really causes. nullopt for CAN FD frames and error messages.
std::optional<std::uint32_t> ExactWireBits(const Frame& frame);

}  // namespace proofdrive
