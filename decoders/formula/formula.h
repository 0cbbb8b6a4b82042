// Conditions and formulas over signals: "coolant_level == low and pump_speed > 1000".
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "decoders/authoring/diagnostics.h"
#include "decoders/model/definitions.h"

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

// Operators from weakest to strongest: or; and; not; == != < <= > >= (not chained); + -; * /; unary
// minus. Functions: abs, sqrt, of a number; max, min, mean, spread, sum, count, argmax, argmin of a
// series. cell_voltage[3] is the third element. A state name stands beside == or != and belongs to
// the signal on the other side.
//
// Three-valued: an unknown input is NaN. Arithmetic and comparison with an unknown are unknown;
// "and" is false when one side is false, "or" is true when one side is true, whatever the other is.
class Formula {
 public:
  // Null when the text is wrong; `problem` says how. Names are those of `definitions`.
  static std::unique_ptr<Formula> Compile(std::string_view text, FormulaKind kind,
                                          const Definitions& definitions, TextProblem& problem);
  virtual ~Formula() = default;

  // What Evaluate wants, in this order; each distinct input once.
  virtual std::span<const FormulaInput> inputs() const = 0;
  // The number, or for a condition 1, 0 or NaN (unknown). One thread at a time.
  virtual double Evaluate(std::span<const double> inputs) = 0;
};

// A word with a meaning of its own in formulas, so that no signal may have it as its name.
bool IsFormulaWord(std::string_view word);

}  // namespace proofdrive::decoders
