#include "decoders/definitions/overlap.h"

#include <bitset>

namespace proofdrive::decoders {
namespace {

using Bits = std::bitset<512>;

Bits BitsOf(const Location& location) {
  Bits bits;
  for (const Piece& piece : location.pieces) {
    for (unsigned i = 0; i < piece.count; ++i) {
      bits.set(std::size_t{piece.byte} * 8 + piece.lowest_bit + i);
    }
  }
  return bits;
}

std::string ShowFirst(const Bits& bits) {
  const std::size_t first = bits._Find_first();
  return "byte " + std::to_string(first / 8) + " bit " + std::to_string(first % 8);
}

}  // namespace

void CheckOverlaps(const std::vector<BitUse>& uses, Reporter& reporter) {
  std::vector<Bits> bits;
  for (const BitUse& use : uses) bits.push_back(BitsOf(use.location));
  for (std::size_t later = 1; later < uses.size(); ++later) {
    for (std::size_t i = 0; i < later; ++i) {
      const BitUse& a = uses[i];
      const BitUse& b = uses[later];
      if (a.may_overlap || b.may_overlap || a.name == b.name) continue;
      if (a.first_page > b.last_page || b.first_page > a.last_page) continue;
      const Bits both = bits[i] & bits[later];
      if (both.none()) continue;
      reporter.Error(b.mark,
                     b.name + " uses " + ShowFirst(both) + ", which " + a.name + " uses too",
                     "bits are counted from 0, bit 0 is the least significant one of its byte; add "
                     "may overlap: yes if both readings are meant");
      break;
    }
  }
}

}  // namespace proofdrive::decoders
