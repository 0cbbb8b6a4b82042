#include "decoders/signals/checksums.h"

#include <array>

#include "core/base/crc32c.h"

namespace proofdrive::decoders {
namespace {

std::uint64_t Xor(ByteSpan bytes) {
  std::uint8_t value = 0;
  for (const std::uint8_t byte : bytes) value = static_cast<std::uint8_t>(value ^ byte);
  return value;
}

std::uint64_t Sum8(ByteSpan bytes) {
  unsigned sum = 0;
  for (const std::uint8_t byte : bytes) sum += byte;
  return sum & 0xFF;
}

// One table step per byte, most significant bit first.
template <std::uint8_t kPolynomial>
constexpr std::array<std::uint8_t, 256> MakeCrc8Table() {
  std::array<std::uint8_t, 256> table{};
  for (unsigned i = 0; i < 256; ++i) {
    unsigned value = i;
    for (int bit = 0; bit < 8; ++bit)
      value = (value << 1) ^ ((value & 0x80) != 0 ? kPolynomial : 0);
    table[i] = static_cast<std::uint8_t>(value);
  }
  return table;
}

template <std::uint8_t kPolynomial>
std::uint64_t Crc8(ByteSpan bytes) {
  static constexpr auto kTable = MakeCrc8Table<kPolynomial>();
  std::uint8_t value = 0xFF;
  for (const std::uint8_t byte : bytes) value = kTable[value ^ byte];
  return value ^ 0xFFU;
}

std::uint64_t Crc16CcittFalse(ByteSpan bytes) {
  unsigned value = 0xFFFF;
  for (const std::uint8_t byte : bytes) {
    value ^= static_cast<unsigned>(byte) << 8;
    for (int bit = 0; bit < 8; ++bit)
      value = (value << 1) ^ ((value & 0x8000) != 0 ? 0x11021U : 0U);
  }
  return value;
}

std::uint64_t Castagnoli(ByteSpan bytes) { return Crc32c(bytes); }

constexpr Checksum kChecksums[] = {
    {"xor", 8, Xor, "exclusive or of all bytes"},
    {"sum-8", 8, Sum8, "sum of all bytes, modulo 256"},
    {"crc-8-sae-j1850", 8, Crc8<0x1D>, "SAE J1850; AUTOSAR Specification of CRC Routines"},
    {"crc-8-h2f", 8, Crc8<0x2F>, "AUTOSAR Specification of CRC Routines, CRC-8H2F"},
    {"crc-16-ccitt-false", 16, Crc16CcittFalse, "AUTOSAR Specification of CRC Routines, CRC16"},
    {"crc-32c", 32, Castagnoli, "RFC 3720 appendix B.4"},
};

}  // namespace

std::span<const Checksum> AllChecksums() { return kChecksums; }

const Checksum* FindChecksum(std::string_view name) {
  for (const Checksum& checksum : kChecksums) {
    if (checksum.name == name) return &checksum;
  }
  return nullptr;
}

}  // namespace proofdrive::decoders
