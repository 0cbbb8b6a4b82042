#include "bench/frames/frame_writer.h"

#include <cmath>

namespace proofdrive::bench {
namespace {

std::uint8_t Crc8Step(std::uint8_t crc, std::uint8_t byte) {
  unsigned value = crc ^ byte;
  for (int i = 0; i < 8; ++i) value = (value & 0x80) != 0 ? (value << 1) ^ 0x1D : value << 1;
  return static_cast<std::uint8_t>(value);
}

}  // namespace

std::int64_t RawOf(double value, double scale, double offset, std::int64_t low, std::int64_t high) {
  const double steps = std::floor((value - offset) / scale + 0.5);
  if (!(steps > static_cast<double>(low))) return low;
  if (steps > static_cast<double>(high)) return high;
  return static_cast<std::int64_t>(steps);
}

void Payload::PutInteger(int first, int count, std::uint64_t value) {
  for (int i = count - 1; i >= 0; --i) {
    bytes_[static_cast<std::size_t>(first) + static_cast<std::size_t>(i)] =
        static_cast<std::uint8_t>(value & 0xFF);
    value >>= 8;
  }
}

void Payload::PutUnsigned(int first, int count, double value, double scale, double offset) {
  const std::int64_t most = (std::int64_t{1} << (8 * count)) - 2;
  PutInteger(first, count, static_cast<std::uint64_t>(RawOf(value, scale, offset, 0, most)));
}

void Payload::PutSigned(int first, int count, double value, double scale) {
  const std::int64_t most = (std::int64_t{1} << (8 * count - 1)) - 1;
  PutInteger(first, count, static_cast<std::uint64_t>(RawOf(value, scale, 0, -most, most)));
}

void Payload::PutBits(int byte, int lowest, int count, std::uint64_t value) {
  const unsigned mask = ((1u << count) - 1u) << lowest;
  const unsigned old = bytes_[static_cast<std::size_t>(byte)];
  const unsigned shifted = static_cast<unsigned>(value << lowest) & mask;
  bytes_[static_cast<std::size_t>(byte)] = static_cast<std::uint8_t>((old & ~mask) | shifted);
}

void Payload::PutAbsent(int first, int count) { PutInteger(first, count, ~std::uint64_t{0}); }

std::uint8_t Checksum(ChecksumKind kind, std::span<const std::uint8_t> bytes, int place) {
  std::uint8_t result = kind == ChecksumKind::kCrc8J1850 ? 0xFF : 0;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    if (static_cast<int>(i) == place) continue;
    switch (kind) {
      case ChecksumKind::kNone:
        break;
      case ChecksumKind::kCrc8J1850:
        result = Crc8Step(result, bytes[i]);
        break;
      case ChecksumKind::kXor:
        result = static_cast<std::uint8_t>(result ^ bytes[i]);
        break;
      case ChecksumKind::kSum:
        result = static_cast<std::uint8_t>(result + bytes[i]);
        break;
    }
  }
  return kind == ChecksumKind::kCrc8J1850 ? static_cast<std::uint8_t>(result ^ 0xFF) : result;
}

}  // namespace proofdrive::bench
