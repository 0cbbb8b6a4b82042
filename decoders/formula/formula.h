// Conditions and formulas over signals: "coolant_level == low and pump_speed > 1000".
#pragma once

#include <memory>
#include <span>
#include <string_view>

#include "decoders/authoring/diagnostics.h"
#include "decoders/formula/formula_input.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

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

}  // namespace proofdrive::decoders
