// The words that have a meaning of their own in formulas.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "decoders/formula/formula_input.h"

namespace proofdrive::decoders {

bool IsLogicWord(std::string_view word);       // and, or, not
bool IsNumberFunction(std::string_view word);  // abs, sqrt
// nullopt when it is no function of a series.
std::optional<SeriesFunction> FindSeriesFunction(std::string_view word);
// Of numbers and of series.
std::vector<std::string> FunctionNames();

// A word with a meaning of its own in formulas, so that no signal may have it as its name.
bool IsFormulaWord(std::string_view word);

}  // namespace proofdrive::decoders
