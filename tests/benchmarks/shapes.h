// Every kind of place a number can have in a payload of 16 bytes, as a table made at compile time:
// both byte orders, 1 to 64 bits, on and off byte boundaries (up to nine bytes), signed and not,
// and IEEE 754 numbers. For each: how an author writes it, and what somebody would write by hand
// who knows it.
#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <cstring>
#include <string>
#include <utility>

namespace proofdrive::benchmarks {

inline constexpr std::size_t kPayload = 16;
inline constexpr double kScale = 0.1;
inline constexpr double kOffset = -40;

struct Shape {
  bool big = false;
  unsigned byte = 0;   // first byte it touches
  unsigned shift = 0;  // bits of that byte it leaves out: low ones (little), high ones (big)
  unsigned bits = 0;
  bool is_signed = false;
  bool is_float = false;
};

inline constexpr std::size_t kIntegerShapes = std::size_t{2} * 64 * 2;
inline constexpr std::size_t kFloatShapes = 8;
inline constexpr std::size_t kShapes = kIntegerShapes + kFloatShapes;

constexpr Shape ShapeAt(std::size_t index) {
  Shape shape;
  shape.big = index % 2 == 1;
  const bool aligned = index / 2 % 2 == 0;
  const auto number = static_cast<unsigned>(index / 4);
  shape.is_float = index >= kIntegerShapes;
  shape.bits = shape.is_float ? (number % 2 == 0 ? 32 : 64) : number + 1;
  shape.is_signed = !shape.is_float && number % 2 == 0;
  shape.shift = aligned ? 0 : number % 7 + 1;
  shape.byte = number % 7;
  return shape;
}

// "byte 3 bits 0-2, byte 4": most significant piece first.
inline std::string PlaceText(const Shape& shape) {
  std::string text;
  unsigned left = shape.bits;
  const unsigned bytes = (shape.shift + shape.bits + 7) / 8;
  for (unsigned i = 0; i < bytes; ++i) {
    const unsigned at = shape.big ? i : bytes - 1 - i;
    const bool first = at == 0;
    const unsigned end = shape.shift + shape.bits - at * 8;  // of what is left from this byte on
    unsigned low = 0;
    unsigned high = 7;
    if (shape.big) {
      if (first) high = 7 - shape.shift;
      if (end < 8) low = 8 - end;
    } else {
      if (first) low = shape.shift;
      if (end < 8) high = end - 1;
    }
    left -= high - low + 1;
    text += (text.empty() ? "byte " : ", byte ") + std::to_string(shape.byte + at) + " bits " +
            std::to_string(low) + "-" + std::to_string(high);
  }
  return left == 0 ? text : "wrong";
}

// --- by hand ---

template <std::size_t kIndex>
inline double ReadByHand(const std::uint8_t* payload) {
  constexpr Shape kShape = ShapeAt(kIndex);
  constexpr unsigned kUsed = kShape.shift + kShape.bits;
  const std::uint8_t* const from = payload + kShape.byte;
  std::uint64_t raw = 0;
  std::memcpy(&raw, from, sizeof(raw));
  if constexpr (kShape.big) {
    raw = __builtin_bswap64(raw) << kShape.shift;
    if constexpr (kUsed > 64) raw |= from[8] >> (8 - kShape.shift);
    raw >>= 64 - kShape.bits;
  } else {
    raw >>= kShape.shift;
    if constexpr (kUsed > 64) raw |= std::uint64_t{from[8]} << (64 - kShape.shift);
    if constexpr (kShape.bits < 64) raw &= (std::uint64_t{1} << kShape.bits) - 1;
  }
  if constexpr (kShape.is_float && kShape.bits == 32) {
    return std::bit_cast<float>(static_cast<std::uint32_t>(raw));
  } else if constexpr (kShape.is_float) {
    return std::bit_cast<double>(raw);
  } else if constexpr (kShape.is_signed) {
    constexpr unsigned kUnused = 64 - kShape.bits;
    const auto number = static_cast<std::int64_t>(raw << kUnused) >> kUnused;
    return static_cast<double>(number) * kScale + kOffset;
  } else {
    return static_cast<double>(raw) * kScale + kOffset;
  }
}

using ColumnByHand = void (*)(const std::uint8_t* payloads, std::size_t rows, double* out);

template <std::size_t kIndex>
void ReadColumnByHand(const std::uint8_t* payloads, std::size_t rows, double* out) {
  for (std::size_t i = 0; i < rows; ++i) out[i] = ReadByHand<kIndex>(payloads + i * kPayload);
}

template <std::size_t... kIndices>
constexpr std::array<ColumnByHand, kShapes> MakeTable(std::index_sequence<kIndices...>) {
  return {&ReadColumnByHand<kIndices>...};
}
inline constexpr std::array<ColumnByHand, kShapes> kByHand =
    MakeTable(std::make_index_sequence<kShapes>());

}  // namespace proofdrive::benchmarks
