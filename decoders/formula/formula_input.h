// What a formula needs to be told, and what kind it is of.
#pragma once

#include <cstdint>
#include <string>

namespace proofdrive::decoders {

enum class SeriesFunction { kNone, kMax, kMin, kMean, kSpread, kSum, kCount, kArgmax, kArgmin };

// One quantity a formula needs to be told before it can be evaluated.
struct FormulaInput {
  std::uint32_t signal = 0;   // index into Definitions::signals
  std::uint32_t element = 0;  // 0-based; of a series when `function` is kNone
  SeriesFunction function = SeriesFunction::kNone;
  // Not empty: 1 when the raw value has this state, 0 when not; else the physical value.
  std::string state;
  friend bool operator==(const FormulaInput&, const FormulaInput&) = default;
};

enum class FormulaKind { kNumber, kCondition };

}  // namespace proofdrive::decoders
