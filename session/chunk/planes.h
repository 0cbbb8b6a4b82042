// Transposed layouts that compress well: the bytes or bits of equal weight of all rows side by
// side.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "core/base/bytes.h"

namespace proofdrive::session {

// --- bytes of integers ---
// Plane p holds byte p (from the least significant) of every value; `planes` bytes per value.
std::vector<std::uint8_t> ToBytePlanes(std::span<const std::uint64_t> values, std::size_t planes);
// REQUIRES: bytes.size() == out.size() * planes, planes <= 8.
void FromBytePlanes(ByteSpan bytes, std::size_t planes, std::span<std::uint64_t> out);

// --- bits of payloads ---
// Bytes of one bit plane over `rows` rows.
inline std::size_t BitPlaneBytes(std::size_t rows) { return (rows + 7) / 8; }
// XORs each row with the one before (the first with zero); then for each byte of the row, for each
// of its bits from the least significant: that bit of every row, eight rows to a byte, the first
// row in the least significant bit. rows.size() = count * stride.
std::vector<std::uint8_t> ToXorBitPlanes(ByteSpan rows, std::size_t stride);
// REQUIRES: planes.size() == 8 * stride * BitPlaneBytes(rows.size() / stride).
void FromXorBitPlanes(ByteSpan planes, std::size_t stride, std::span<std::uint8_t> rows);

}  // namespace proofdrive::session
