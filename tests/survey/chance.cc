#include "tests/survey/chance.h"

#include "analysis/survey/rows/bit_line.h"
#include "bench/car/random.h"

namespace proofdrive::survey_tests {
namespace {

using analysis::survey::BitLine;
using analysis::survey::BitSet;
using analysis::survey::FoundFrame;
using analysis::survey::Run;

void Take(const decoders::Location& location, BitSet& taken) {
  for (const decoders::Piece& piece : location.pieces) {
    taken.AddMask(piece.byte,
                  static_cast<std::uint8_t>(((1U << piece.count) - 1U) << piece.lowest_bit));
  }
}

// Cuts the bits that are not taken: borders at multiples of `step`, or by a random draw per bit.
std::vector<analysis::survey::Field> Fields(const BitLine& line, const BitSet& taken,
                                            std::size_t step, bench::Random& random) {
  std::vector<analysis::survey::Field> fields;
  for (std::size_t first = 0; first < line.size();) {
    const auto is_taken = [&](std::size_t position) {
      return taken.Has(line.PlaceOf(position).byte, line.PlaceOf(position).bit);
    };
    if (is_taken(first)) {
      ++first;
      continue;
    }
    std::size_t end = first + 1;
    while (end < line.size() && !is_taken(end)) {
      if (step != 0 ? end % step == 0 : random.Below(8) == 0) break;
      ++end;
    }
    analysis::survey::Field field;
    field.location = line.LocationOf({first, end - first});
    fields.push_back(field);
    first = end;
  }
  return fields;
}

}  // namespace

std::vector<FoundFrame> CutByChance(const Recording& recording,
                                    const std::vector<FoundFrame>& found, Chance chance,
                                    std::uint64_t seed) {
  (void)recording;
  bench::Random random(seed, 7);
  std::vector<FoundFrame> cut = found;
  BitSet taken;
  for (FoundFrame& frame : cut) {
    const bool paged = frame.selector.has_value();
    if (!frame.page) taken = BitSet(frame.length);
    for (const auto* place : {frame.counter ? &frame.counter->location : nullptr,
                              frame.checksum ? &frame.checksum->location : nullptr,
                              frame.selector ? &*frame.selector : nullptr}) {
      if (place != nullptr) Take(*place, taken);
    }
    frame.fields.clear();
    if (paged || frame.length == 0) continue;
    const std::size_t step = chance == Chance::kBytes ? 8 : chance == Chance::kWords ? 16 : 0;
    frame.fields = Fields(BitLine(frame.length, ByteOrder::kBig), taken, step, random);
  }
  return cut;
}

}  // namespace proofdrive::survey_tests
