#include "analysis/survey/rows/bit_line.h"

#include <algorithm>
#include <bit>

namespace proofdrive::analysis::survey {

static_assert(std::endian::native == std::endian::little, "EndingAt turns the bytes of a load");

decoders::Location BitLine::LocationOf(const Run& run) const {
  decoders::Location location;
  for (std::size_t position = run.first; position < run.end();) {
    const std::size_t end = std::min(run.end(), position / 8 * 8 + 8);
    const BitPlace lowest = PlaceOf(end - 1);
    location.pieces.push_back({static_cast<std::uint8_t>(lowest.byte),
                               static_cast<std::uint8_t>(lowest.bit),
                               static_cast<std::uint8_t>(end - position)});
    position = end;
  }
  return location;
}

LineRows::LineRows(const BitLine& line, const std::uint8_t* payloads,
                   const std::vector<std::uint32_t>& rows)
    : count_(rows.size()), step_(line.stride() + 8), bytes_(count_ * step_ + 8, 0) {
  for (std::size_t i = 0; i < count_; ++i) {
    const std::uint8_t* from = payloads + rows[i] * line.stride();
    std::uint8_t* to = bytes_.data() + i * step_ + 8;
    if (line.order() == ByteOrder::kBig) {
      std::copy(from, from + line.stride(), to);
    } else {
      std::reverse_copy(from, from + line.stride(), to);
    }
  }
}

std::vector<std::uint64_t> ValuesOf(const BitLine& line, const Run& run,
                                    const std::vector<std::uint8_t>& payloads) {
  const std::size_t count = line.stride() == 0 ? 0 : payloads.size() / line.stride();
  std::vector<std::uint64_t> values(count, 0);
  const decoders::Location location = line.LocationOf(run);
  for (std::size_t row = 0; row < count; ++row) {
    const std::uint8_t* payload = payloads.data() + row * line.stride();
    for (const decoders::Piece& piece : location.pieces) {
      const unsigned part = (payload[piece.byte] >> piece.lowest_bit) & ((1U << piece.count) - 1U);
      values[row] = (values[row] << piece.count) | part;
    }
  }
  return values;
}

}  // namespace proofdrive::analysis::survey
