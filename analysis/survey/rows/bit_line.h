// The bits of a payload in a line, so that a number is a run of neighbours, its most significant
// bit first. There are two such lines: bytes as they come (most significant byte first) and bytes
// from the last to the first (least significant byte first).
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "core/base/bytes.h"
#include "decoders/model/definitions.h"

namespace proofdrive::analysis::survey {

// A run of bits in one of the lines.
struct Run {
  std::size_t first = 0;  // the most significant bit
  std::size_t width = 0;
  std::size_t end() const { return first + width; }
  std::size_t last() const { return first + width - 1; }
  friend bool operator==(const Run&, const Run&) = default;
};

struct BitPlace {
  std::size_t byte = 0;
  unsigned bit = 0;  // 0 = least significant
};

class BitLine {
 public:
  BitLine(std::size_t stride, ByteOrder order) : stride_(stride), order_(order) {}

  std::size_t size() const { return 8 * stride_; }
  ByteOrder order() const { return order_; }
  std::size_t stride() const { return stride_; }
  BitPlace PlaceOf(std::size_t position) const {
    const std::size_t byte = position / 8;
    return {order_ == ByteOrder::kBig ? byte : stride_ - 1 - byte,
            static_cast<unsigned>(7 - position % 8)};
  }
  std::size_t PositionOf(const BitPlace& place) const {
    const std::size_t byte = order_ == ByteOrder::kBig ? place.byte : stride_ - 1 - place.byte;
    return 8 * byte + (7 - place.bit);
  }
  decoders::Location LocationOf(const Run& run) const;

 private:
  std::size_t stride_;
  ByteOrder order_;
};

// Payloads along a line, for numbers of up to 57 bits.
class LineRows {
 public:
  // `rows`: numbers of the payloads to take, in this order.
  LineRows(const BitLine& line, const std::uint8_t* payloads,
           const std::vector<std::uint32_t>& rows);
  std::size_t size() const { return count_; }
  // The bits that end at position `last`, of row `index`; those above the number wanted are still
  // to be masked off.
  std::uint64_t EndingAt(std::size_t index, std::size_t last) const {
    std::uint64_t word = 0;
    const std::uint8_t* at = bytes_.data() + index * step_ + last / 8 + 1;
    __builtin_memcpy(&word, at, sizeof(word));
    return __builtin_bswap64(word) >> (7 - last % 8);
  }

 private:
  std::size_t count_ = 0;
  std::size_t step_ = 0;
  std::vector<std::uint8_t> bytes_;  // each row with 8 bytes of zero before it
};

// The values of a run in all rows.
std::vector<std::uint64_t> ValuesOf(const BitLine& line, const Run& run,
                                    const std::vector<std::uint8_t>& payloads);

}  // namespace proofdrive::analysis::survey
