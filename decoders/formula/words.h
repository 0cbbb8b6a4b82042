// The words that have a meaning of their own in formulas.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "decoders/formula/formula.h"

namespace proofdrive::decoders {

bool IsLogicWord(std::string_view word);       // and, or, not
bool IsNumberFunction(std::string_view word);  // abs, sqrt
// nullopt when it is no function of a series.
std::optional<SeriesFunction> FindSeriesFunction(std::string_view word);
// Of numbers and of series.
std::vector<std::string> FunctionNames();

}  // namespace proofdrive::decoders
