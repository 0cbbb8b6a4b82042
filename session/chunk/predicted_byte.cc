#include "session/chunk/predicted_byte.h"

#include <algorithm>
#include <array>
#include <memory>
#include <numeric>

#include "core/frame/frame.h"

namespace proofdrive::session {
namespace {

using Table = std::array<std::uint8_t, 256>;

// What a byte adds to a checksum. A CRC without start value is the exclusive or of what every byte
// alone would give, which depends on how many bytes follow it.
using Tables = std::array<Table, kMaxFdLength>;  // by number of bytes that follow

Tables MakeCrcTables(std::uint8_t polynomial) {
  Tables tables{};
  for (unsigned value = 0; value < 256; ++value) {
    unsigned crc = value;
    for (int bit = 0; bit < 8; ++bit) crc = (crc << 1) ^ ((crc & 0x80) != 0 ? polynomial : 0U);
    tables[0][value] = static_cast<std::uint8_t>(crc);
  }
  for (std::size_t i = 1; i < tables.size(); ++i) {
    for (std::size_t value = 0; value < 256; ++value) {
      tables[i][value] = tables[0][tables[i - 1][value]];
    }
  }
  return tables;
}

constexpr Table kNothing{};
constexpr Table kItself = [] {
  Table table{};
  std::iota(table.begin(), table.end(), std::uint8_t{0});
  return table;
}();

// The polynomials that are looked for: CRC-8 SAE J1850 and CRC-8 0x2F (AUTOSAR Specification of CRC
// Routines). Made once; others, which only a file can ask for, each time.
constexpr std::array<std::uint8_t, 2> kPolynomials = {0x1D, 0x2F};
const std::array<Tables, 2>& KnownTables() {
  static const std::array<Tables, 2> tables = {MakeCrcTables(kPolynomials[0]),
                                               MakeCrcTables(kPolynomials[1])};
  return tables;
}

class Predictor {
 public:
  Predictor(const PredictedByte& predicted, std::size_t stride) : predicted_(predicted) {
    const Tables* const crc = CrcTables();
    for (std::size_t i = 0; i < stride; ++i) {
      const std::size_t after = stride - 1 - i - (i < predicted.byte ? 1 : 0);
      tables_[i] = crc == nullptr ? &kItself : &(*crc)[after];
    }
    tables_[predicted.byte] = &kNothing;
  }

  bool adds() const { return predicted_.kind == PredictionKind::kSum; }

  template <bool kAdds>
  std::uint8_t Expected(const std::uint8_t* row, std::size_t stride) const {
    unsigned value = predicted_.constant;
    for (std::size_t i = 0; i < stride; ++i) {
      const unsigned part = (*tables_[i])[row[i]];
      value = kAdds ? value + part : value ^ part;
    }
    return static_cast<std::uint8_t>(value);
  }

 private:
  // Null: bytes count as they are.
  const Tables* CrcTables() {
    if (predicted_.kind != PredictionKind::kCrc8) return nullptr;
    for (std::size_t i = 0; i < kPolynomials.size(); ++i) {
      if (kPolynomials[i] == predicted_.polynomial) return &KnownTables()[i];
    }
    own_ = std::make_unique<const Tables>(MakeCrcTables(predicted_.polynomial));
    return own_.get();
  }

  const PredictedByte predicted_;
  std::array<const Table*, kMaxFdLength> tables_{};
  std::unique_ptr<const Tables> own_;
};

// --- finding one ---

constexpr std::size_t kRowsTried = 48;
// Of the rows that are tried. A byte that rarely changes compresses well as it is.
constexpr std::size_t kLeastChanges = 16;

// Rows spread over the stream, in pairs of neighbours: counters and slow values both differ.
std::size_t RowToTry(std::size_t i, std::size_t count) {
  if (count <= kRowsTried) return i;
  return (i / 2) * (count - 2) / (kRowsTried / 2 - 1) + i % 2;
}

bool ChangesOften(ByteSpan rows, std::size_t stride, std::size_t byte) {
  const std::size_t count = rows.size() / stride;
  std::size_t changes = 0;
  for (std::size_t i = 1; i < std::min(count, kRowsTried); ++i) {
    const std::size_t now = RowToTry(i, count);
    const std::size_t before = RowToTry(i - 1, count);
    changes += rows[now * stride + byte] != rows[before * stride + byte] ? 1U : 0U;
  }
  return changes >= kLeastChanges;
}

// Takes the constant from the first row. False when another row does not follow.
bool Fits(ByteSpan rows, std::size_t stride, PredictedByte& predicted) {
  const std::size_t count = rows.size() / stride;
  const Predictor predictor(predicted, stride);
  const auto constant_of = [&](std::size_t row) {
    const std::uint8_t* bytes = rows.data() + row * stride;
    const std::uint8_t found = bytes[predicted.byte];
    const int constant = predictor.adds() ? found - predictor.Expected<true>(bytes, stride)
                                          : found ^ predictor.Expected<false>(bytes, stride);
    return static_cast<std::uint8_t>(constant);
  };
  const std::uint8_t constant = constant_of(0);
  for (std::size_t i = 1; i < std::min(count, kRowsTried); ++i) {
    if (constant_of(RowToTry(i, count)) != constant) return false;
  }
  predicted.constant = constant;
  return true;
}

// kStride 0: any.
template <bool kAdds, std::size_t kStride>
void CombineRows(const Predictor& predictor, std::size_t byte, std::size_t any_stride,
                 std::span<std::uint8_t> rows) {
  const std::size_t stride = kStride == 0 ? any_stride : kStride;
  for (std::size_t at = 0; at < rows.size(); at += stride) {
    std::uint8_t* const row = rows.data() + at;
    row[byte] = static_cast<std::uint8_t>(row[byte] ^ predictor.Expected<kAdds>(row, stride));
  }
}

}  // namespace

PredictedByte FindPredictedByte(ByteSpan rows, std::size_t stride) {
  if (stride < 2 || rows.size() / stride < kLeastChanges + 1) return {};
  for (std::size_t i = stride; i-- > 0;) {  // checksums are mostly at the end
    if (!ChangesOften(rows, stride, i)) continue;
    const auto byte = static_cast<std::uint8_t>(i);
    for (PredictedByte candidate :
         {PredictedByte{PredictionKind::kXor, byte}, PredictedByte{PredictionKind::kSum, byte},
          PredictedByte{PredictionKind::kCrc8, byte, kPolynomials[0]},
          PredictedByte{PredictionKind::kCrc8, byte, kPolynomials[1]}}) {
      if (Fits(rows, stride, candidate)) return candidate;
    }
  }
  return {};
}

void CombineWithPrediction(const PredictedByte& predicted, std::size_t stride,
                           std::span<std::uint8_t> rows) {
  if (predicted.kind == PredictionKind::kNone) return;
  const Predictor predictor(predicted, stride);
  constexpr std::size_t kUsual = 8;  // a size the compiler knows
  const auto combine =
      stride == kUsual ? (predictor.adds() ? CombineRows<true, kUsual> : CombineRows<false, kUsual>)
                       : (predictor.adds() ? CombineRows<true, 0> : CombineRows<false, 0>);
  combine(predictor, predicted.byte, stride, rows);
}

}  // namespace proofdrive::session
