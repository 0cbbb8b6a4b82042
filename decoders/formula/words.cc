#include "decoders/formula/words.h"

#include <algorithm>
#include <iterator>

namespace proofdrive::decoders {
namespace {

constexpr std::string_view kLogicWords[] = {"and", "or", "not"};
constexpr std::string_view kNumberFunctions[] = {"abs", "sqrt"};

struct SeriesWord {
  std::string_view word;
  SeriesFunction function;
};
constexpr SeriesWord kSeriesWords[] = {
    {"max", SeriesFunction::kMax},       {"min", SeriesFunction::kMin},
    {"mean", SeriesFunction::kMean},     {"spread", SeriesFunction::kSpread},
    {"sum", SeriesFunction::kSum},       {"count", SeriesFunction::kCount},
    {"argmax", SeriesFunction::kArgmax}, {"argmin", SeriesFunction::kArgmin},
};

template <std::size_t kSize>
bool IsAmong(const std::string_view (&words)[kSize], std::string_view word) {
  return std::find(std::begin(words), std::end(words), word) != std::end(words);
}

}  // namespace

bool IsLogicWord(std::string_view word) { return IsAmong(kLogicWords, word); }
bool IsNumberFunction(std::string_view word) { return IsAmong(kNumberFunctions, word); }

std::optional<SeriesFunction> FindSeriesFunction(std::string_view word) {
  for (const SeriesWord& series : kSeriesWords) {
    if (series.word == word) return series.function;
  }
  return std::nullopt;
}

std::vector<std::string> FunctionNames() {
  std::vector<std::string> names(std::begin(kNumberFunctions), std::end(kNumberFunctions));
  for (const SeriesWord& series : kSeriesWords) names.emplace_back(series.word);
  return names;
}

bool IsFormulaWord(std::string_view word) {
  return IsLogicWord(word) || IsNumberFunction(word) || FindSeriesFunction(word).has_value();
}

}  // namespace proofdrive::decoders
