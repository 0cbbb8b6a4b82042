// CRC-32C (Castagnoli): the checksum of every chunk and journal batch.
// Reflected polynomial 0x1EDC6F41, start and final XOR 0xFFFFFFFF (RFC 3720 appendix B.4).
#pragma once

#include <cstdint>

#include "core/base/bytes.h"

namespace proofdrive {

// The checksum of `bytes`. To continue over several pieces, pass the result so far as `previous`.
std::uint32_t Crc32c(ByteSpan bytes, std::uint32_t previous = 0);
// The same without the instruction that most PCs have for it.
std::uint32_t Crc32cPortable(ByteSpan bytes, std::uint32_t previous = 0);

}  // namespace proofdrive
