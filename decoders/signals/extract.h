// Bits out of a payload: a location becomes one load, one shift and one mask where it can.
#pragma once

#include <bit>
#include <cstdint>
#include <cstring>
#include <vector>

#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

// How the raw value of one location is read. Immutable once made.
struct Extract {
  enum class Kind : std::uint8_t {
    kLittle,  // one load, least significant byte first
    kBig,     // one load, most significant byte first
    kPieces,  // piece by piece
  };
  Kind kind = Kind::kLittle;
  std::uint8_t load_at = 0;  // 0..56: eight bytes from here
  std::uint8_t shift = 0;
  std::uint8_t bits = 0;
  std::uint8_t bytes_needed = 0;  // payload bytes that must exist
  std::uint8_t pieces = 0;        // kPieces: how many
  std::uint32_t first_piece = 0;  // kPieces: in the array given to RawBits
};

// Pieces that need their own reading are appended to `pieces`.
Extract MakeExtract(const Location& location, std::vector<Piece>& pieces);

// The raw bits as an unsigned number. REQUIRES: 64 readable bytes at `data`, and bits > 0.
inline std::uint64_t RawBits(const Extract& extract, const Piece* pieces,
                             const std::uint8_t* data) {
  if (extract.kind != Extract::Kind::kPieces) {
    std::uint64_t word = 0;
    std::memcpy(&word, data + extract.load_at, sizeof(word));
    constexpr bool kHostIsLittle = std::endian::native == std::endian::little;
    if ((extract.kind == Extract::Kind::kLittle) != kHostIsLittle) word = __builtin_bswap64(word);
    return (word >> extract.shift) & (~std::uint64_t{0} >> (64 - extract.bits));
  }
  std::uint64_t raw = 0;
  for (std::uint32_t i = 0; i < extract.pieces; ++i) {
    const Piece& piece = pieces[extract.first_piece + i];
    const std::uint64_t part = (data[piece.byte] >> piece.lowest_bit) & ((1U << piece.count) - 1U);
    raw = (raw << piece.count) | part;
  }
  return raw;
}

// Two's complement of the lowest `bits` (1..64) of `raw`.
inline std::int64_t SignExtend(std::uint64_t raw, unsigned bits) {
  const unsigned unused = 64 - bits;
  return static_cast<std::int64_t>(raw << unused) >> unused;
}

}  // namespace proofdrive::decoders
