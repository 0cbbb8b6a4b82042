#include "decoders/signals/column_decoder.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>
#include <limits>

namespace proofdrive::decoders {
namespace {

constexpr std::uint32_t kNoStep = 0xFFFFFFFF;
constexpr std::size_t kLoad = 8;

// The work for one row is chosen once per column, so that the loop holds no decisions.
template <Extract::Kind kKind>
std::uint64_t Raw(const Extract& extract, const Piece* pieces, const std::uint8_t* row) {
  Extract fixed = extract;
  fixed.kind = kKind;
  return RawBits(fixed, pieces, row);
}

// Integers of up to 52 bits become a double without a conversion instruction, so that the loop can
// be vectorised: put under the exponent of 2^52 they are its mantissa.
enum class Number { kSmallInteger, kUnsigned, kSigned, kFloat32, kFloat64 };
constexpr unsigned kMantissaBits = 52;
constexpr std::uint64_t kExponent = std::uint64_t{0x433} << kMantissaBits;  // 2^52

// A signed small integer is moved up by half its range first, which `bias` takes back.
struct SmallInteger {
  std::uint64_t flip = 0;
  double bias = 0;
};

SmallInteger MakeSmallInteger(const ValueStep& step) {
  const bool is_signed = step.encoding == Encoding::kSigned && step.extract.bits > 0;
  const std::uint64_t half = is_signed ? std::uint64_t{1} << (step.extract.bits - 1) : 0;
  return {half | kExponent, std::bit_cast<double>(kExponent) + static_cast<double>(half)};
}

template <Number kNumber>
double ToNumber(std::uint64_t raw, unsigned bits, const SmallInteger& small) {
  if constexpr (kNumber == Number::kSmallInteger) {
    return std::bit_cast<double>(raw ^ small.flip) - small.bias;
  } else if constexpr (kNumber == Number::kUnsigned) {
    return static_cast<double>(raw);
  } else if constexpr (kNumber == Number::kSigned) {
    return static_cast<double>(SignExtend(raw, bits));
  } else if constexpr (kNumber == Number::kFloat32) {
    return std::bit_cast<float>(static_cast<std::uint32_t>(raw));
  } else {
    return std::bit_cast<double>(raw);
  }
}

struct Job {
  ValueStep step;
  const Piece* pieces = nullptr;
  std::span<const std::uint64_t> absent;
  PayloadColumn column;
  double* out = nullptr;
};

// kStride 0: any, from the column; 8, the length of most frames, is worth a loop of its own.
template <Extract::Kind kKind, Number kNumber, bool kHasAbsent, std::size_t kStride>
void DecodeRows(const Job& job, const std::uint8_t* rows, std::size_t begin, std::size_t end) {
  const ValueStep step = job.step;
  const SmallInteger small = MakeSmallInteger(step);
  const std::size_t stride = kStride == 0 ? job.column.stride : kStride;
  double* const __restrict out = job.out;
  for (std::size_t i = begin; i < end; ++i) {
    const std::uint64_t raw = Raw<kKind>(step.extract, job.pieces, rows + (i - begin) * stride);
    double number = ToNumber<kNumber>(raw, step.extract.bits, small) * step.scale + step.offset;
    if constexpr (kHasAbsent) {
      for (const std::uint64_t pattern : job.absent) {
        if (raw == pattern) number = std::numeric_limits<double>::quiet_NaN();
      }
    }
    out[i] = number;
  }
}

// Rows whose load of eight bytes would leave the column are read from a padded copy.
template <Extract::Kind kKind, Number kNumber, bool kHasAbsent>
void DecodeAll(const Job& job) {
  const std::size_t rows = job.column.rows();
  const std::size_t stride = job.column.stride;
  const std::size_t needed = job.step.extract.load_at + kLoad;
  const std::size_t size = job.column.bytes.size();
  std::size_t direct = size < needed ? 0 : std::min(rows, (size - needed) / stride + 1);
  if (kKind == Extract::Kind::kPieces) direct = rows;
  const std::uint8_t* bytes = job.column.bytes.data();
  if (stride == kLoad) {
    DecodeRows<kKind, kNumber, kHasAbsent, kLoad>(job, bytes, 0, direct);
  } else {
    DecodeRows<kKind, kNumber, kHasAbsent, 0>(job, bytes, 0, direct);
  }
  for (std::size_t i = direct; i < rows; ++i) {
    std::array<std::uint8_t, kMaxFdLength + kLoad> padded{};
    std::memcpy(padded.data(), bytes + i * stride, stride);
    DecodeRows<kKind, kNumber, kHasAbsent, 0>(job, padded.data(), i, i + 1);
  }
}

template <Extract::Kind kKind, Number kNumber>
void ChooseAbsent(const Job& job) {
  if (job.absent.empty()) {
    DecodeAll<kKind, kNumber, false>(job);
  } else {
    DecodeAll<kKind, kNumber, true>(job);
  }
}

template <Extract::Kind kKind>
void ChooseNumber(const Job& job) {
  const bool small = job.step.extract.bits <= kMantissaBits;
  switch (job.step.encoding) {
    case Encoding::kUnsigned:
      if (small) return ChooseAbsent<kKind, Number::kSmallInteger>(job);
      return ChooseAbsent<kKind, Number::kUnsigned>(job);
    case Encoding::kSigned:
      if (small) return ChooseAbsent<kKind, Number::kSmallInteger>(job);
      return ChooseAbsent<kKind, Number::kSigned>(job);
    case Encoding::kFloat32:
      return ChooseAbsent<kKind, Number::kFloat32>(job);
    case Encoding::kFloat64:
      return ChooseAbsent<kKind, Number::kFloat64>(job);
    case Encoding::kText:
      return;  // Decode refuses it
  }
}

void Run(const Job& job) {
  switch (job.step.extract.kind) {
    case Extract::Kind::kLittle:
      return ChooseNumber<Extract::Kind::kLittle>(job);
    case Extract::Kind::kBig:
      return ChooseNumber<Extract::Kind::kBig>(job);
    case Extract::Kind::kPieces:
      return ChooseNumber<Extract::Kind::kPieces>(job);
  }
}

}  // namespace

ColumnDecoder::ColumnDecoder(std::shared_ptr<const Definitions> definitions)
    : definitions_(std::move(definitions)),
      plan_(MakePlan(*definitions_)),
      first_step_(definitions_->signals.size(), kNoStep) {
  for (const FramePlan& frame : plan_.frames) {
    for (std::uint32_t i = frame.always.end; i > frame.always.begin; --i) {
      first_step_[plan_.steps[i - 1].signal] = i - 1;
    }
  }
}

const ValueStep* ColumnDecoder::FindStep(std::uint32_t signal, std::uint32_t element) const {
  if (signal >= first_step_.size() || first_step_[signal] == kNoStep) return nullptr;
  const std::size_t at = std::size_t{first_step_[signal]} + element;
  if (at >= plan_.steps.size() || plan_.steps[at].signal != signal) return nullptr;
  return &plan_.steps[at];
}

bool ColumnDecoder::Decode(std::uint32_t signal, std::uint32_t element, const PayloadColumn& column,
                           std::span<double> out) const {
  const ValueStep* step = FindStep(signal, element);
  if (step == nullptr || step->encoding == Encoding::kText) return false;
  if (step->extract.bytes_needed > column.stride) return false;
  Job job;
  job.step = *step;
  job.pieces = plan_.pieces.data();
  job.absent = std::span(plan_.absent).subspan(step->first_absent, step->absent);
  job.column = column;
  job.out = out.data();
  Run(job);
  return true;
}

}  // namespace proofdrive::decoders
