#include "session/planes.h"

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
    std::uint8_t value = 0;
    for (std::size_t first = 0; first < count; first += 8) {
      const std::uint8_t* in = planes.data() + 8 * byte * plane_bytes + first / 8;
      std::uint64_t block = 0;
      for (std::size_t bit = 0; bit < 8; ++bit) {
        block |= std::uint64_t{in[bit * plane_bytes]} << (8 * bit);
      }
      block = Transpose8x8(block);
      for (std::size_t row = first; row < count && row < first + 8; ++row) {
        value = static_cast<std::uint8_t>(value ^ (block >> (8 * (row - first))));
        rows[row * stride + byte] = value;
      }
    }
  }
}

}  // namespace proofdrive::session
