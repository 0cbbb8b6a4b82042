#include "decoders/language/overlap.h"

#include <algorithm>
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

// Whether one frame can carry both. Inner pages are compared only within the same outer page, where
// their numbers stand at the same place.
bool CanMeet(const std::vector<PageRange>& a, const std::vector<PageRange>& b) {
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) {
    if (a[i].first > b[i].last || b[i].first > a[i].last) return false;
  }
  return true;
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
      if (!CanMeet(a.pages, b.pages)) continue;
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
