#include "decoders/signals/extract.h"

#include <algorithm>
#include <optional>

namespace proofdrive::decoders {
namespace {

constexpr unsigned kLastLoad = 56;  // a load of eight bytes ends within 64

// Positions of the bits from the least significant one up, in a numbering where a contiguous field
// of that byte order has consecutive numbers.
std::vector<unsigned> Positions(const Location& location, bool big) {
  std::vector<unsigned> positions;
  for (auto piece = location.pieces.rbegin(); piece != location.pieces.rend(); ++piece) {
    const unsigned byte = big ? 63U - piece->byte : piece->byte;
    for (unsigned i = 0; i < piece->count; ++i) {
      positions.push_back(byte * 8 + piece->lowest_bit + i);
    }
  }
  return positions;
}

// The lowest position when all follow each other.
std::optional<unsigned> Contiguous(const std::vector<unsigned>& positions) {
  for (std::size_t i = 1; i < positions.size(); ++i) {
    if (positions[i] != positions[i - 1] + 1) return std::nullopt;
  }
  return positions.front();
}

// A single load of eight bytes, when the field does not touch a ninth.
bool MakeLoad(const Location& location, bool big, Extract& extract) {
  const auto lowest = Contiguous(Positions(location, big));
  if (!lowest) return false;
  // Bytes in the order of the numbering: the load starts at the lowest one that is needed.
  const unsigned first = std::min(*lowest / 8, kLastLoad);
  const unsigned shift = *lowest - first * 8;
  if (shift + extract.bits > 64) return false;
  extract.kind = big ? Extract::Kind::kBig : Extract::Kind::kLittle;
  extract.load_at = static_cast<std::uint8_t>(big ? kLastLoad - first : first);
  extract.shift = static_cast<std::uint8_t>(shift);
  return true;
}

}  // namespace

Extract MakeExtract(const Location& location, std::vector<Piece>& pieces) {
  Extract extract;
  extract.bits = static_cast<std::uint8_t>(location.bits());
  extract.bytes_needed = static_cast<std::uint8_t>(location.bytes_needed());
  if (extract.bits == 0) return extract;
  if (MakeLoad(location, false, extract) || MakeLoad(location, true, extract)) return extract;
  extract.kind = Extract::Kind::kPieces;
  extract.first_piece = static_cast<std::uint32_t>(pieces.size());
  extract.pieces = static_cast<std::uint8_t>(location.pieces.size());
  pieces.insert(pieces.end(), location.pieces.begin(), location.pieces.end());
  return extract;
}

}  // namespace proofdrive::decoders
