#include "analysis/survey/rows/payload_rows.h"

#include <algorithm>

namespace proofdrive::analysis::survey {

void PayloadRows::Add(ByteSpan payload, double time) {
  bytes.insert(bytes.end(), payload.begin(), payload.end());
  times.push_back(time);
}

void PayloadRows::Break() {
  const auto next = static_cast<std::uint32_t>(size());
  if (next != 0 && (starts.empty() || starts.back() != next)) starts.push_back(next);
}

std::vector<std::uint32_t> Pairs(const PayloadRows& rows) {
  std::vector<std::uint32_t> pairs;
  pairs.reserve(rows.size());
  std::size_t start = 0;
  for (std::uint32_t row = 0; row + 1 < rows.size(); ++row) {
    while (start < rows.starts.size() && rows.starts[start] < row + 1) ++start;
    if (start < rows.starts.size() && rows.starts[start] == row + 1) continue;
    pairs.push_back(row);
  }
  return pairs;
}

BitCounts CountFlips(const PayloadRows& rows) {
  // By byte and pattern first: a table look-up per byte, not a loop over its bits.
  std::vector<std::array<std::uint32_t, 256>> patterns(rows.stride);
  for (auto& counts : patterns) counts.fill(0);
  for (const std::uint32_t pair : Pairs(rows)) {
    const std::uint8_t* old = rows.bytes.data() + pair * rows.stride;
    for (std::size_t i = 0; i < rows.stride; ++i) ++patterns[i][old[i] ^ old[i + rows.stride]];
  }
  BitCounts flips(8 * rows.stride, 0);
  for (std::size_t i = 0; i < rows.stride; ++i) {
    for (unsigned pattern = 1; pattern < 256; ++pattern) {
      for (unsigned bit = 0; bit < 8; ++bit) {
        if (((pattern >> bit) & 1U) != 0) flips[8 * i + bit] += patterns[i][pattern];
      }
    }
  }
  return flips;
}

BitSet ChangedBits(const PayloadRows& rows) {
  BitSet changed(rows.stride);
  for (std::size_t row = 1; row < rows.size(); ++row) {
    const std::uint8_t* payload = rows.bytes.data() + row * rows.stride;
    for (std::size_t i = 0; i < rows.stride; ++i) {
      changed.AddMask(i, static_cast<std::uint8_t>(payload[i] ^ rows.bytes[i]));
    }
  }
  return changed;
}

}  // namespace proofdrive::analysis::survey
