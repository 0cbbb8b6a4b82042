// Puts values into payloads: rounding, limits, bit positions, counters and checksums.
#pragma once

#include <array>
#include <cstdint>
#include <span>

namespace proofdrive::bench {

// Nearest step of (value - offset) / scale, half upward, limited to low..high. Uses only operations
// that every machine rounds alike.
std::int64_t RawOf(double value, double scale, double offset, std::int64_t low, std::int64_t high);

// One payload being filled. Bit 0 of a byte is its least significant bit.
class Payload {
 public:
  explicit Payload(std::uint8_t length) : length_(length) {}

  // Big-endian over `count` bytes from `first`, unsigned or two's complement; values that do not
  // fit are limited. The largest unsigned value is kept free: it means "no value".
  void PutUnsigned(int first, int count, double value, double scale, double offset = 0);
  void PutSigned(int first, int count, double value, double scale);
  // The low bits of `value` into `count` bits of one byte from `lowest` upward.
  void PutBits(int byte, int lowest, int count, std::uint64_t value);
  // A whole number over `count` bytes.
  void PutInteger(int first, int count, std::uint64_t value);
  // All ones: "no value".
  void PutAbsent(int first, int count);

  std::uint8_t length() const { return length_; }
  std::span<const std::uint8_t> bytes() const { return {bytes_.data(), length_}; }
  std::uint8_t at(int byte) const { return bytes_[static_cast<std::size_t>(byte)]; }

 private:
  std::array<std::uint8_t, 8> bytes_{};
  std::uint8_t length_;
};

enum class ChecksumKind : std::uint8_t { kNone, kCrc8J1850, kXor, kSum };

// Over all bytes but `place`. Written apart from the decoders' checksums on purpose: an error there
// must not hide itself here. SAE J1850: polynomial 0x1D, start and final XOR 0xFF.
std::uint8_t Checksum(ChecksumKind kind, std::span<const std::uint8_t> bytes, int place);

}  // namespace proofdrive::bench
