#include "session/chunk/planes.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>
#include <type_traits>

namespace proofdrive::session {
namespace {

// Two numbers side by side: both are worked on by one instruction, on every 64-bit processor.
using Pair [[gnu::vector_size(16)]] = std::uint64_t;

// A matrix of 64 x 64 bits: bit c of word r is column c of row r. With pairs it is two of them.
template <class Word>
using Matrix = std::array<Word, 64>;

// Exchanges the bits of `low` selected by `mask << Shift` with those of `high` selected by `mask`.
template <unsigned Shift, class Word>
void Exchange(Word& low, Word& high, std::uint64_t mask) {
  const Word swap = ((low >> Shift) ^ high) & mask;
  high ^= swap;
  low ^= swap << Shift;
}

// Swaps, within every square of 2 * Size rows and columns, the two quarters off the diagonal, and
// then the same for squares of Size. Two sizes in one pass halve the traffic with memory.
template <unsigned Size, class Word>
void SwapQuarters(Matrix<Word>& matrix, std::uint64_t mask, std::uint64_t half_mask) {
  constexpr unsigned kHalf = Size / 2;
  for (std::size_t square = 0; square < matrix.size(); square += 2 * Size) {
    for (std::size_t row = square; row < square + kHalf; ++row) {
      Word a = matrix[row];
      Word b = matrix[row + kHalf];
      Word c = matrix[row + Size];
      Word d = matrix[row + Size + kHalf];
      Exchange<Size>(a, c, mask);
      Exchange<Size>(b, d, mask);
      Exchange<kHalf>(a, b, half_mask);
      Exchange<kHalf>(c, d, half_mask);
      matrix[row] = a;
      matrix[row + kHalf] = b;
      matrix[row + Size] = c;
      matrix[row + Size + kHalf] = d;
    }
  }
}

template <class Word>
void Transpose(Matrix<Word>& matrix) {
  SwapQuarters<32>(matrix, 0x00000000FFFFFFFFULL, 0x0000FFFF0000FFFFULL);
  SwapQuarters<8>(matrix, 0x00FF00FF00FF00FFULL, 0x0F0F0F0F0F0F0F0FULL);
  SwapQuarters<2>(matrix, 0x3333333333333333ULL, 0x5555555555555555ULL);
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

void StoreWord(std::uint64_t word, std::uint8_t* bytes, std::size_t count) {
  if (count == sizeof(word) && std::endian::native == std::endian::little) {
    std::memcpy(bytes, &word, sizeof(word));
    return;
  }
  for (std::size_t i = 0; i < count; ++i) bytes[i] = static_cast<std::uint8_t>(word >> (8 * i));
}

// Up to 8 neighbouring bytes of every row, with their planes: as many bits as fit a matrix.
struct Strip {
  std::size_t stride = 0;
  std::size_t rows = 0;
  std::size_t first_byte = 0;  // of the row
  std::size_t bytes = 0;       // 1..8

  std::size_t row_at(std::size_t row) const { return row * stride + first_byte; }
  // Of the bits of rows `row` to `row` + 63, `row` being a multiple of 64.
  std::size_t plane_at(std::size_t plane, std::size_t row) const {
    return (8 * first_byte + plane) * BitPlaneBytes(rows) + row / 8;
  }
  // How many rows of a matrix that begins with `row` there are.
  std::size_t rows_from(std::size_t row) const { return std::min<std::size_t>(64, rows - row); }
};

// Calls visit(whole), where `whole` says at compile time whether the strip is 8 bytes wide, as it
// nearly always is: loads and stores of a known size.
template <class Visitor>
void WithWidth(const Strip& strip, Visitor visit) {
  strip.bytes == 8 ? visit(std::true_type()) : visit(std::false_type());
}

template <class Whole>
void ToPlanes(const Strip& strip, const std::uint8_t* rows, std::uint8_t* planes, Whole whole) {
  const std::size_t width = whole ? 8 : strip.bytes;
  std::uint64_t previous = 0;
  for (std::size_t first = 0; first < strip.rows; first += 64) {
    const std::size_t count = strip.rows_from(first);
    Matrix<std::uint64_t> matrix;
    for (std::size_t i = 0; i < count; ++i) {
      const std::uint64_t row = LoadWord(rows + strip.row_at(first + i), width);
      matrix[i] = row ^ previous;
      previous = row;
    }
    std::fill(matrix.begin() + static_cast<std::ptrdiff_t>(count), matrix.end(), 0);
    Transpose(matrix);
    for (std::size_t plane = 0; plane < 8 * width; ++plane) {
      StoreWord(matrix[plane], planes + strip.plane_at(plane, first), BitPlaneBytes(count));
    }
  }
}

// 128 rows, all there.
template <class Whole>
void ManyFromPlanes(const Strip& strip, const std::uint8_t* planes, std::size_t first,
                    std::uint64_t& row, std::uint8_t* rows, Whole whole) {
  const std::size_t width = whole ? 8 : strip.bytes;
  Matrix<Pair> matrix;
  for (std::size_t plane = 0; plane < 8 * width; ++plane) {
    const std::uint8_t* bits = planes + strip.plane_at(plane, first);
    matrix[plane] = Pair{LoadWord(bits, 8), LoadWord(bits + 8, 8)};
  }
  for (std::size_t plane = 8 * width; plane < matrix.size(); ++plane) matrix[plane] = Pair{};
  Transpose(matrix);
  std::uint8_t* out = rows + strip.row_at(first);
  for (const unsigned half : {0U, 1U}) {
    for (const Pair& change : matrix) {
      row ^= change[half];
      StoreWord(row, out, width);
      out += strip.stride;
    }
  }
}

// The last rows, at most 64.
void FewFromPlanes(const Strip& strip, const std::uint8_t* planes, std::size_t first,
                   std::uint64_t& row, std::uint8_t* rows) {
  Matrix<std::uint64_t> matrix{};
  const std::size_t count = strip.rows_from(first);
  for (std::size_t plane = 0; plane < 8 * strip.bytes; ++plane) {
    matrix[plane] = LoadWord(planes + strip.plane_at(plane, first), BitPlaneBytes(count));
  }
  Transpose(matrix);
  for (std::size_t i = 0; i < count; ++i) {
    row ^= matrix[i];
    StoreWord(row, rows + strip.row_at(first + i), strip.bytes);
  }
}

void FromPlanes(const Strip& strip, const std::uint8_t* planes, std::uint8_t* rows) {
  std::uint64_t row = 0;
  std::size_t first = 0;
  WithWidth(strip, [&](auto whole) {
    for (; first + 128 <= strip.rows; first += 128) {
      ManyFromPlanes(strip, planes, first, row, rows, whole);
    }
  });
  for (; first < strip.rows; first += 64) FewFromPlanes(strip, planes, first, row, rows);
}

// The strips of all bytes of rows of `stride` bytes.
template <class Visitor>
void ForEachStrip(std::size_t stride, std::size_t rows, Visitor visit) {
  for (std::size_t byte = 0; byte < stride; byte += 8) {
    visit(Strip{stride, rows, byte, std::min<std::size_t>(8, stride - byte)});
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
  if (planes == 0) std::fill(out.begin(), out.end(), 0);
  for (std::size_t plane = 0; plane < planes; ++plane) {
    const std::uint8_t* in = bytes.data() + plane * out.size();
    if (plane == 0) {
      for (std::size_t i = 0; i < out.size(); ++i) out[i] = in[i];
    } else {
      for (std::size_t i = 0; i < out.size(); ++i) out[i] |= std::uint64_t{in[i]} << (8 * plane);
    }
  }
}

std::vector<std::uint8_t> ToXorBitPlanes(ByteSpan rows, std::size_t stride) {
  const std::size_t count = stride == 0 ? 0 : rows.size() / stride;
  std::vector<std::uint8_t> planes(8 * stride * BitPlaneBytes(count));
  ForEachStrip(stride, count, [&](const Strip& strip) {
    WithWidth(strip, [&](auto whole) { ToPlanes(strip, rows.data(), planes.data(), whole); });
  });
  return planes;
}

void FromXorBitPlanes(ByteSpan planes, std::size_t stride, std::span<std::uint8_t> rows) {
  const std::size_t count = stride == 0 ? 0 : rows.size() / stride;
  ForEachStrip(stride, count,
               [&](const Strip& strip) { FromPlanes(strip, planes.data(), rows.data()); });
}

}  // namespace proofdrive::session
