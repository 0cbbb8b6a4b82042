#include "core/digests/crc32c.h"

#include <array>
#include <cstring>

#if defined(__x86_64__)
#include <nmmintrin.h>
#endif

namespace proofdrive {
namespace {

constexpr std::uint32_t kReflectedPolynomial = 0x82F63B78;
using Tables = std::array<std::array<std::uint32_t, 256>, 8>;

constexpr Tables MakeTables() {
  Tables tables{};
  for (std::uint32_t byte = 0; byte < 256; ++byte) {
    std::uint32_t crc = byte;
    for (int bit = 0; bit < 8; ++bit) crc = (crc >> 1) ^ ((crc & 1) ? kReflectedPolynomial : 0);
    tables[0][byte] = crc;
  }
  for (std::size_t slice = 1; slice < 8; ++slice) {
    for (std::size_t byte = 0; byte < 256; ++byte) {
      const std::uint32_t crc = tables[slice - 1][byte];
      tables[slice][byte] = (crc >> 8) ^ tables[0][crc & 0xFF];
    }
  }
  return tables;
}

constexpr Tables kTables = MakeTables();

// Eight bytes a step, one table each: fast enough never to skip the check, on any processor.
std::uint32_t EightBytes(const std::uint8_t* bytes, std::uint32_t crc) {
  std::uint32_t result = 0;
  for (std::size_t i = 0; i < 8; ++i) {
    const std::uint32_t mixed = bytes[i] ^ (i < 4 ? (crc >> (8 * i)) & 0xFF : 0);
    result ^= kTables[7 - i][mixed];
  }
  return result;
}

std::uint32_t ByTables(ByteSpan bytes, std::uint32_t crc) {
  std::size_t i = 0;
  for (; i + 8 <= bytes.size(); i += 8) crc = EightBytes(bytes.data() + i, crc);
  for (; i < bytes.size(); ++i) crc = (crc >> 8) ^ kTables[0][(crc ^ bytes[i]) & 0xFF];
  return crc;
}

#if defined(__x86_64__)

// The instruction that computes this polynomial, present in nearly every PC since 2008.
__attribute__((target("sse4.2"))) std::uint32_t ByInstruction(ByteSpan bytes, std::uint32_t crc) {
  std::uint64_t sum = crc;
  std::size_t i = 0;
  for (; i + 8 <= bytes.size(); i += 8) {
    std::uint64_t word = 0;
    std::memcpy(&word, bytes.data() + i, sizeof(word));
    sum = _mm_crc32_u64(sum, word);
  }
  crc = static_cast<std::uint32_t>(sum);
  for (; i < bytes.size(); ++i) crc = _mm_crc32_u8(crc, bytes[i]);
  return crc;
}

bool HasInstruction() {
  static const bool has = __builtin_cpu_supports("sse4.2");
  return has;
}

#else

std::uint32_t ByInstruction(ByteSpan bytes, std::uint32_t crc) { return ByTables(bytes, crc); }
bool HasInstruction() { return false; }

#endif

}  // namespace

std::uint32_t Crc32c(ByteSpan bytes, std::uint32_t previous) {
  return ~(HasInstruction() ? ByInstruction(bytes, ~previous) : ByTables(bytes, ~previous));
}

std::uint32_t Crc32cPortable(ByteSpan bytes, std::uint32_t previous) {
  return ~ByTables(bytes, ~previous);
}

}  // namespace proofdrive
