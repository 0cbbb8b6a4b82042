#include "session/planes.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>

namespace proofdrive::session {
namespace {

// Transposes an 8 x 8 bit matrix: byte r bit c becomes byte c bit r.
std::uint64_t Transpose8x8(std::uint64_t x) {
  std::uint64_t swap = (x ^ (x >> 7)) & 0x00AA00AA00AA00AAULL;
  x ^= swap ^ (swap << 7);
  swap = (x ^ (x >> 14)) & 0x0000CCCC0000CCCCULL;
  x ^= swap ^ (swap << 14);
  swap = (x ^ (x >> 28)) & 0x00000000F0F0F0F0ULL;
  return x ^ swap ^ (swap << 28);
}

constexpr std::uint64_t kEveryByte = 0x0101010101010101ULL;

// Each byte XORed with all bytes of lower weight.
std::uint64_t XorOfAllBefore(std::uint64_t x) {
  x ^= x << 8;
  x ^= x << 16;
  return x ^ (x << 32);
}

using Words = std::array<std::uint64_t, 8>;

// Exchanges the bytes of `low` selected by `mask << shift` with those of `high` selected by `mask`.
void Exchange(std::uint64_t& low, std::uint64_t& high, unsigned shift, std::uint64_t mask) {
  const std::uint64_t swap = ((low >> shift) ^ high) & mask;
  high ^= swap;
  low ^= swap << shift;
}

// Byte j of word i becomes byte i of word j.
void TransposeBytes(Words& words) {
  for (std::size_t i = 0; i < 4; ++i) Exchange(words[i], words[i + 4], 32, 0xFFFFFFFFULL);
  for (const std::size_t i : {0U, 1U, 4U, 5U}) {
    Exchange(words[i], words[i + 2], 16, 0x0000FFFF0000FFFFULL);
  }
  for (const std::size_t i : {0U, 2U, 4U, 6U}) {
    Exchange(words[i], words[i + 1], 8, 0x00FF00FF00FF00FFULL);
  }
}

// Up to 8 bytes as a little-endian number.
std::uint64_t LoadWord(const std::uint8_t* bytes, std::size_t count) {
  std::uint64_t word = 0;
  if (count == sizeof(word) && std::endian::native == std::endian::little) {
    std::memcpy(&word, bytes, sizeof(word));
    return word;
  }
  for (std::size_t i = 0; i < count; ++i) word |= std::uint64_t{bytes[i]} << (8 * i);
  return word;
}

// Word g holds the bits of rows 8 g to 8 g + 7 (from byte `at` of every plane): bit plane p in byte
// p.
Words LoadPlanes(ByteSpan planes, std::size_t plane_bytes, std::size_t at) {
  Words words{};
  const std::size_t bytes = std::min<std::size_t>(8, plane_bytes - at);
  for (std::size_t plane = 0; plane < 8; ++plane) {
    words[plane] = LoadWord(planes.data() + plane * plane_bytes + at, bytes);
  }
  TransposeBytes(words);
  return words;
}

// Byte i of the block goes to out[i * stride], for the first `count` bytes.
void ScatterBytes(std::uint64_t block, std::size_t count, std::size_t stride, std::uint8_t* out) {
  if (count == 8) {  // nearly always: a loop the compiler can unroll
    for (std::size_t i = 0; i < 8; ++i) {
      out[i * stride] = static_cast<std::uint8_t>(block >> (8 * i));
    }
    return;
  }
  for (std::size_t i = 0; i < count; ++i) {
    out[i * stride] = static_cast<std::uint8_t>(block >> (8 * i));
  }
}

}  // namespace

std::vector<std::uint8_t> ToBytePlanes(std::span<const std::uint64_t> values, std::size_t planes) {
  std::vector<std::uint8_t> bytes(values.size() * planes);
  for (std::size_t plane = 0; plane < planes; ++plane) {
    std::uint8_t* out = bytes.data() + plane * values.size();
    for (std::size_t i = 0; i < values.size(); ++i) {
      out[i] = static_cast<std::uint8_t>(values[i] >> (8 * plane));
    }
  }
  return bytes;
}

void FromBytePlanes(ByteSpan bytes, std::size_t planes, std::span<std::uint64_t> out) {
  for (std::uint64_t& value : out) value = 0;
  for (std::size_t plane = 0; plane < planes; ++plane) {
    const std::uint8_t* in = bytes.data() + plane * out.size();
    for (std::size_t i = 0; i < out.size(); ++i) out[i] |= std::uint64_t{in[i]} << (8 * plane);
  }
}

std::vector<std::uint8_t> ToXorBitPlanes(ByteSpan rows, std::size_t stride) {
  const std::size_t count = stride == 0 ? 0 : rows.size() / stride;
  const std::size_t plane_bytes = BitPlaneBytes(count);
  std::vector<std::uint8_t> planes(8 * stride * plane_bytes);
  for (std::size_t byte = 0; byte < stride; ++byte) {
    std::uint8_t previous = 0;
    for (std::size_t first = 0; first < count; first += 8) {
      std::uint64_t block = 0;
      for (std::size_t row = first; row < count && row < first + 8; ++row) {
        const std::uint8_t value = rows[row * stride + byte];
        block |= std::uint64_t{static_cast<std::uint8_t>(value ^ previous)} << (8 * (row - first));
        previous = value;
      }
      if (block == 0) continue;
      block = Transpose8x8(block);
      std::uint8_t* out = planes.data() + 8 * byte * plane_bytes + first / 8;
      for (std::size_t bit = 0; bit < 8; ++bit) {
        out[bit * plane_bytes] = static_cast<std::uint8_t>(block >> (8 * bit));
      }
    }
  }
  return planes;
}

void FromXorBitPlanes(ByteSpan planes, std::size_t stride, std::span<std::uint8_t> rows) {
  const std::size_t count = stride == 0 ? 0 : rows.size() / stride;
  const std::size_t plane_bytes = BitPlaneBytes(count);
  for (std::size_t byte = 0; byte < stride; ++byte) {
    const ByteSpan own = planes.subspan(8 * byte * plane_bytes, 8 * plane_bytes);
    std::uint8_t last = 0;  // value of the row before
    for (std::size_t first = 0; first < count; first += 64) {
      Words words = LoadPlanes(own, plane_bytes, first / 8);
      for (std::size_t group = 0; group < 8 && first + 8 * group < count; ++group) {
        std::uint64_t block = words[group];
        if (block != 0) block = XorOfAllBefore(Transpose8x8(block));
        block ^= last * kEveryByte;
        last = static_cast<std::uint8_t>(block >> 56);
        const std::size_t row = first + 8 * group;
        ScatterBytes(block, std::min<std::size_t>(8, count - row), stride,
                     rows.data() + row * stride + byte);
      }
    }
  }
}

}  // namespace proofdrive::session
