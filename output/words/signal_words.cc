#include "output/words/signal_words.h"

namespace proofdrive::output {

std::string ElementName(const decoders::Signal& signal, std::uint32_t element) {
  return signal.is_series ? signal.name + "[" + std::to_string(element + 1) + "]" : signal.name;
}

int StateIndex(const decoders::Signal& signal, std::int64_t raw) {
  for (std::size_t i = 0; i < signal.states.size(); ++i) {
    if (raw >= signal.states[i].first && raw <= signal.states[i].last) return static_cast<int>(i);
  }
  return -1;
}

std::string StateText(const decoders::Signal& signal, const decoders::Value& value) {
  if (value.validity == decoders::Validity::kAbsent) return std::string(kAbsentWord);
  const int state = StateIndex(signal, value.raw);
  if (state >= 0) return signal.states[static_cast<std::size_t>(state)].name;
  return value.validity == decoders::Validity::kOutOfRange ? std::string(kOutOfRangeWord) : "";
}

}  // namespace proofdrive::output
