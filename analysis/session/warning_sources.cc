#include "analysis/session/warning_sources.h"

#include <algorithm>
#include <cctype>

namespace proofdrive::analysis {
namespace {

bool IsNameCharacter(char c) { return std::isalnum(static_cast<unsigned char>(c)) || c == '_'; }

void SortUnique(std::vector<std::uint32_t>& values) {
  std::sort(values.begin(), values.end());
  values.erase(std::unique(values.begin(), values.end()), values.end());
}

}  // namespace

std::vector<std::uint32_t> SignalsIn(const decoders::Definitions& definitions,
                                     std::string_view condition) {
  std::vector<std::uint32_t> signals;
  std::size_t at = 0;
  while (at < condition.size()) {
    std::size_t end = at;
    while (end < condition.size() && IsNameCharacter(condition[end])) ++end;
    if (const auto signal = definitions.FindSignal(condition.substr(at, end - at))) {
      signals.push_back(*signal);
    }
    at = std::max(end, at + 1);
  }
  SortUnique(signals);
  return signals;
}

std::vector<std::uint32_t> FramesIn(const decoders::Definitions& definitions,
                                    std::string_view condition) {
  std::vector<std::uint32_t> signals = SignalsIn(definitions, condition);
  std::vector<std::uint32_t> frames;
  // The list grows by the inputs of computed signals, each once, so that even a circle would end.
  for (std::size_t i = 0; i < signals.size(); ++i) {
    for (const decoders::Computed& computed : definitions.computed) {
      if (computed.signal != signals[i]) continue;
      for (const std::uint32_t input : SignalsIn(definitions, computed.formula.text)) {
        if (std::find(signals.begin(), signals.end(), input) == signals.end()) {
          signals.push_back(input);
        }
      }
    }
    if (const auto frame = definitions.FindFrame(definitions.signals[signals[i]].frame)) {
      frames.push_back(*frame);
    }
  }
  SortUnique(frames);
  return frames;
}

std::vector<std::uint32_t> FramesOf(const decoders::Definitions& definitions,
                                    const decoders::Warning& warning) {
  std::string conditions = warning.when.text;
  if (warning.only_while) conditions += " " + warning.only_while->text;
  return FramesIn(definitions, conditions);
}

}  // namespace proofdrive::analysis
