#include "decoders/columns/column_kernels.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>
#include <limits>
#include <optional>

namespace proofdrive::decoders {
namespace {

constexpr std::size_t kLoad = 8;
constexpr std::size_t kLastLoad = kMaxFdLength - kLoad;

// --- how the raw value is read ---

enum class Reader { kLittle, kBig, kPieces, kTwoParts, kThreeParts, kFourParts };
constexpr std::size_t kMostParts = 4;

// Places of several pieces within eight bytes: one load, least significant byte first, and then a
// shift, a mask and a shift for each part.
struct Parts {
  std::size_t load_at = 0;
  std::size_t count = 0;
  struct Part {
    unsigned shift = 0;
    unsigned up = 0;
    std::uint64_t mask = 0;
  };
  std::array<Part, kMostParts> parts{};
};

// nullopt when they are too far apart or too many.
std::optional<Parts> MakeParts(std::span<const Piece> pieces) {
  const auto [first, last] = std::minmax_element(
      pieces.begin(), pieces.end(), [](const Piece& a, const Piece& b) { return a.byte < b.byte; });
  Parts result;
  result.load_at = std::min<std::size_t>(first->byte, kLastLoad);
  if (pieces.size() > kMostParts || last->byte >= result.load_at + kLoad) return std::nullopt;
  unsigned up = 0;
  for (std::size_t i = pieces.size(); i > 0; --i) {
    const Piece& piece = pieces[i - 1];
    const auto shift = static_cast<unsigned>((piece.byte - result.load_at) * 8 + piece.lowest_bit);
    result.parts[result.count++] = {shift, up, (std::uint64_t{1} << piece.count) - 1};
    up += piece.count;
  }
  return result;
}

template <Reader kReader>
std::uint64_t Raw(const ColumnJob& job, const Extract& extract, const Parts& parts,
                  const std::uint8_t* row) {
  if constexpr (kReader == Reader::kLittle || kReader == Reader::kBig ||
                kReader == Reader::kPieces) {
    return RawBits(extract, job.pieces.data(), row);
  } else {
    constexpr std::size_t kCount = kReader == Reader::kTwoParts     ? 2
                                   : kReader == Reader::kThreeParts ? 3
                                                                    : 4;
    std::uint64_t word = 0;
    std::memcpy(&word, row + parts.load_at, kLoad);
    if constexpr (std::endian::native == std::endian::big) word = __builtin_bswap64(word);
    std::uint64_t raw = 0;
    for (std::size_t i = 0; i < kCount; ++i) {
      raw |= ((word >> parts.parts[i].shift) & parts.parts[i].mask) << parts.parts[i].up;
    }
    return raw;
  }
}

constexpr Extract::Kind KindOf(Reader reader) {
  return reader == Reader::kLittle ? Extract::Kind::kLittle
         : reader == Reader::kBig  ? Extract::Kind::kBig
                                   : Extract::Kind::kPieces;
}

// --- how it becomes a number ---

// Integers become a double without a conversion instruction, so that the loop can be vectorised.
// Put under the exponent of 2^52, 52 bits are its mantissa; more are taken as two halves, the upper
// one under the exponent of 2^84. Adding the halves rounds once, like a conversion. A signed
// integer is moved up by half its range first, which `bias` takes back.
enum class Number { kSmallInteger, kLargeInteger, kFloat32, kFloat64 };
constexpr unsigned kMantissaBits = 52;
constexpr std::uint64_t kExponent52 = std::uint64_t{0x433} << kMantissaBits;
constexpr std::uint64_t kExponent84 = std::uint64_t{0x453} << kMantissaBits;
constexpr std::uint64_t kLowHalf = 0xFFFFFFFF;

struct Integer {
  std::uint64_t flip = 0;
  double bias = 0;
};

Integer MakeInteger(const ValueStep& step, Number number) {
  const bool is_signed = step.encoding == Encoding::kSigned && step.extract.bits > 0;
  const std::uint64_t half = is_signed ? std::uint64_t{1} << (step.extract.bits - 1) : 0;
  const double base = std::bit_cast<double>(kExponent52);
  if (number == Number::kSmallInteger)
    return {half | kExponent52, base + static_cast<double>(half)};
  return {half, std::bit_cast<double>(kExponent84) + base + static_cast<double>(half)};
}

template <Number kNumber>
double ToNumber(std::uint64_t raw, const Integer& integer) {
  if constexpr (kNumber == Number::kSmallInteger) {
    return std::bit_cast<double>(raw ^ integer.flip) - integer.bias;
  } else if constexpr (kNumber == Number::kLargeInteger) {
    const std::uint64_t moved = raw ^ integer.flip;
    const double high = std::bit_cast<double>((moved >> 32) | kExponent84) - integer.bias;
    return high + std::bit_cast<double>((moved & kLowHalf) | kExponent52);
  } else if constexpr (kNumber == Number::kFloat32) {
    return std::bit_cast<float>(static_cast<std::uint32_t>(raw));
  } else {
    return std::bit_cast<double>(raw);
  }
}

// --- the loop ---

struct Rows {
  const std::uint8_t* bytes = nullptr;
  std::size_t begin = 0;
  std::size_t end = 0;
};

// kStride 0: any, from the column; 8, the length of most frames, is worth a loop of its own.
template <Reader kReader, Number kNumber, bool kHasAbsent, std::size_t kStride>
[[gnu::always_inline]] inline void Loop(const ColumnJob& job, const Parts& all_parts,
                                        const Rows& rows) {
  const ValueStep step = job.step;
  const Parts parts = all_parts;
  Extract extract = step.extract;
  extract.kind = KindOf(kReader);
  const Integer integer = MakeInteger(step, kNumber);
  const std::size_t stride = kStride == 0 ? job.column.stride : kStride;
  double* const __restrict out = job.out;
  for (std::size_t i = rows.begin; i < rows.end; ++i) {
    const std::uint64_t raw =
        Raw<kReader>(job, extract, parts, rows.bytes + (i - rows.begin) * stride);
    double number = ToNumber<kNumber>(raw, integer) * step.scale + step.offset;
    if constexpr (kHasAbsent) {
      for (const std::uint64_t pattern : job.absent) {
        if (raw == pattern) number = std::numeric_limits<double>::quiet_NaN();
      }
    }
    out[i] = number;
  }
}

template <Reader kReader, Number kNumber, bool kHasAbsent, std::size_t kStride>
void LoopAnywhere(const ColumnJob& job, const Parts& parts, const Rows& rows) {
  Loop<kReader, kNumber, kHasAbsent, kStride>(job, parts, rows);
}

#if defined(__x86_64__)
// AVX2 without FMA: the same roundings as everywhere else.
template <Reader kReader, Number kNumber, bool kHasAbsent, std::size_t kStride>
[[gnu::target("avx2")]] void LoopWide(const ColumnJob& job, const Parts& parts, const Rows& rows) {
  Loop<kReader, kNumber, kHasAbsent, kStride>(job, parts, rows);
}
bool HasWide() { return __builtin_cpu_supports("avx2") != 0; }
#else
template <Reader kReader, Number kNumber, bool kHasAbsent, std::size_t kStride>
void LoopWide(const ColumnJob& job, const Parts& parts, const Rows& rows) {
  Loop<kReader, kNumber, kHasAbsent, kStride>(job, parts, rows);
}
bool HasWide() { return false; }
#endif

// Everything that is chosen once per column.
struct Run {
  const ColumnJob& job;
  Parts parts;
  bool wide = false;

  void Start() {
    switch (job.step.extract.kind) {
      case Extract::Kind::kLittle:
        return ChooseNumber<Reader::kLittle>();
      case Extract::Kind::kBig:
        return ChooseNumber<Reader::kBig>();
      case Extract::Kind::kPieces:
        return ChooseParts();
    }
  }

  void ChooseParts() {
    const auto found = MakeParts(job.pieces);
    if (found) parts = *found;
    switch (parts.count) {
      case 2:
        return ChooseNumber<Reader::kTwoParts>();
      case 3:
        return ChooseNumber<Reader::kThreeParts>();
      case 4:
        return ChooseNumber<Reader::kFourParts>();
      default:
        return ChooseNumber<Reader::kPieces>();
    }
  }

  template <Reader kReader>
  void ChooseNumber() {
    switch (job.step.encoding) {
      case Encoding::kUnsigned:
      case Encoding::kSigned:
        if (job.step.extract.bits <= kMantissaBits) {
          return ChooseAbsent<kReader, Number::kSmallInteger>();
        }
        return ChooseAbsent<kReader, Number::kLargeInteger>();
      case Encoding::kFloat32:
        return ChooseAbsent<kReader, Number::kFloat32>();
      case Encoding::kFloat64:
        return ChooseAbsent<kReader, Number::kFloat64>();
      case Encoding::kText:
        return;  // refused before
    }
  }

  template <Reader kReader, Number kNumber>
  void ChooseAbsent() {
    if (job.absent.empty()) {
      DecodeAll<kReader, kNumber, false>();
    } else {
      DecodeAll<kReader, kNumber, true>();
    }
  }

  // Rows whose load of eight bytes would leave the column are read from a padded copy.
  template <Reader kReader, Number kNumber, bool kHasAbsent>
  void DecodeAll() {
    const std::size_t rows = job.column.rows();
    const std::size_t stride = job.column.stride;
    const std::size_t direct = kReader == Reader::kPieces ? rows : RowsToLoad(kReader, rows);
    const std::uint8_t* bytes = job.column.bytes.data();
    if (stride == kLoad) {
      DecodeRows<kReader, kNumber, kHasAbsent, kLoad>({bytes, 0, direct});
    } else {
      DecodeRows<kReader, kNumber, kHasAbsent, 0>({bytes, 0, direct});
    }
    for (std::size_t i = direct; i < rows; ++i) {
      std::array<std::uint8_t, kMaxFdLength + kLoad> padded{};
      std::memcpy(padded.data(), bytes + i * stride, stride);
      LoopAnywhere<kReader, kNumber, kHasAbsent, 0>(job, parts, {padded.data(), i, i + 1});
    }
  }

  std::size_t RowsToLoad(Reader reader, std::size_t rows) const {
    const bool whole = reader == Reader::kLittle || reader == Reader::kBig;
    const std::size_t needed = (whole ? job.step.extract.load_at : parts.load_at) + kLoad;
    const std::size_t size = job.column.bytes.size();
    return size < needed ? 0 : std::min(rows, (size - needed) / job.column.stride + 1);
  }

  template <Reader kReader, Number kNumber, bool kHasAbsent, std::size_t kStride>
  void DecodeRows(const Rows& rows) {
    if (wide) {
      LoopWide<kReader, kNumber, kHasAbsent, kStride>(job, parts, rows);
    } else {
      LoopAnywhere<kReader, kNumber, kHasAbsent, kStride>(job, parts, rows);
    }
  }
};

}  // namespace

void DecodeColumn(const ColumnJob& job, bool wide) {
  static const bool has_wide = HasWide();
  Run{job, {}, wide && has_wide}.Start();
}

void ReadColumnBits(const Extract& extract, const Piece* pieces, const PayloadColumn& column,
                    std::uint64_t* out) {
  const std::size_t rows = column.rows();
  const std::size_t needed =
      extract.kind == Extract::Kind::kPieces ? extract.bytes_needed : extract.load_at + kLoad;
  const std::size_t size = column.bytes.size();
  const std::size_t direct =
      size < needed ? 0 : std::min(rows, (size - needed) / column.stride + 1);
  for (std::size_t i = 0; i < direct; ++i) {
    out[i] = RawBits(extract, pieces, column.bytes.data() + i * column.stride);
  }
  for (std::size_t i = direct; i < rows; ++i) {
    std::array<std::uint8_t, kMaxFdLength> padded{};
    std::memcpy(padded.data(), column.bytes.data() + i * column.stride, column.stride);
    out[i] = RawBits(extract, pieces, padded.data());
  }
}

}  // namespace proofdrive::decoders
