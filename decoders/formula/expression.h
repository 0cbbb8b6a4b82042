// The grammar of formulas: checks names, places and kinds, and writes the same formula in the words
// of the mathematics library.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "decoders/authoring/diagnostics.h"
#include "decoders/formula/formula_input.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

struct Expression {
  std::string text;  // inputs are v0, v1, ...
  std::vector<FormulaInput> inputs;
};

// nullopt: `problem` says what is wrong.
std::optional<Expression> ParseExpression(std::string_view text, FormulaKind kind,
                                          const Definitions& definitions, TextProblem& problem);

}  // namespace proofdrive::decoders
