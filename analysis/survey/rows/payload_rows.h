// The payloads of one identifier, or of one page of it, in order of arrival: what a survey looks
// at.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "core/base/bytes.h"
#include "core/frame/frame.h"

namespace proofdrive::analysis::survey {

// All payloads have the same length.
struct PayloadRows {
  std::size_t stride = 0;             // bytes of a payload, 0..64
  std::vector<std::uint8_t> bytes;    // size() * stride
  std::vector<double> times;          // s since the epoch, as the session says
  std::vector<std::uint32_t> starts;  // rows that do not follow the one before: another recording

  std::size_t size() const { return times.size(); }
  ByteSpan row(std::size_t index) const { return {bytes.data() + index * stride, stride}; }
  void Add(ByteSpan payload, double time);
  // The next row begins another recording, or another page.
  void Break();
};

// Rows that follow one another: for each the number of the earlier one.
std::vector<std::uint32_t> Pairs(const PayloadRows& rows);

// How often each bit of a payload differs between the rows of a pair; by 8 * byte + bit, bit 0 the
// least significant.
using BitCounts = std::vector<std::uint32_t>;
BitCounts CountFlips(const PayloadRows& rows);

// One bit for every bit of a payload.
class BitSet {
 public:
  explicit BitSet(std::size_t stride = 0) : masks_(stride, 0) {}
  std::size_t stride() const { return masks_.size(); }
  bool Has(std::size_t byte, unsigned bit) const { return ((masks_[byte] >> bit) & 1U) != 0; }
  void Add(std::size_t byte, unsigned bit) {
    masks_[byte] = static_cast<std::uint8_t>(masks_[byte] | (1U << bit));
  }
  std::uint8_t mask(std::size_t byte) const { return masks_[byte]; }
  void AddMask(std::size_t byte, std::uint8_t mask) {
    masks_[byte] = static_cast<std::uint8_t>(masks_[byte] | mask);
  }

 private:
  std::vector<std::uint8_t> masks_;
};

// Bits that have more than one value among the rows, also across the borders of recordings.
BitSet ChangedBits(const PayloadRows& rows);

}  // namespace proofdrive::analysis::survey
