// Any bytes as a definition file; and when it is one, any bytes as frames for it.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <vector>

#include "decoders/columns/column_decoder.h"
#include "decoders/language/loader.h"
#include "decoders/signals/decoder.h"
#include "decoders/signals/text_value.h"
#include "decoders/warnings/evaluator.h"

namespace proofdrive::decoders {
namespace {

// Frames of every length for every definition, filled from the text itself.
void Feed(const std::shared_ptr<const Definitions>& definitions, const std::string& text) {
  const auto decoder = Decoder::Create(definitions, {});
  const auto evaluator = WarningEvaluator::Create(definitions);
  std::vector<Value> values;
  Frame frame;
  std::size_t at = 0;
  const std::size_t frames = std::min<std::size_t>(definitions->frames.size(), 50);
  for (std::size_t i = 0; i < frames; ++i) {
    frame.id = definitions->frames[i].id;
    frame.flags = definitions->frames[i].extended ? kExtendedId : 0;
    for (unsigned length = 0; length <= kMaxFdLength; length += length < 8 ? 1 : 8) {
      frame.length = static_cast<std::uint8_t>(length);
      frame.data.fill(0);
      for (unsigned byte = 0; byte < length; ++byte) {
        frame.data[byte] = static_cast<std::uint8_t>(text[at++ % text.size()]);
      }
      frame.time += std::chrono::milliseconds(37);
      values.clear();
      decoder->Decode(frame, values);
      for (const Value& value : values) {
        if (value.signal >= definitions->signals.size()) std::abort();
        const Signal& signal = definitions->signals[value.signal];
        if (signal.encoding == Encoding::kText) {
          (void)TextOf(signal, value.element, ByteSpan(frame.data.data(), frame.length));
        }
        if (value.element >= signal.count) std::abort();
        evaluator->Update(value);
      }
    }
  }
  (void)evaluator->Finish(frame.time);
}

// The text as columns of every signal, with rows of several lengths.
void ReadColumns(const std::shared_ptr<const Definitions>& definitions, const std::string& text) {
  const ColumnDecoder decoder(definitions);
  const std::size_t signals = std::min<std::size_t>(definitions->signals.size(), 50);
  for (const std::size_t stride : {1U, 7U, 8U, 13U, 64U}) {
    const std::size_t rows = std::min<std::size_t>(text.size() / stride, 20);
    // Exactly as large as the rows, so that a read beyond the end is found.
    const std::vector<std::uint8_t> bytes(
        text.begin(), text.begin() + static_cast<std::ptrdiff_t>(rows * stride));
    std::vector<double> numbers(rows);
    for (std::uint32_t signal = 0; signal < signals; ++signal) {
      decoder.Decode(signal, 0, {bytes, stride}, numbers);
    }
  }
}

}  // namespace
}  // namespace proofdrive::decoders

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace proofdrive::decoders;
  const std::string text(reinterpret_cast<const char*>(data), size);
  const std::vector<SourceText> sources = {{"fuzz.yaml", text}};
  const LoadResult result = LoadDefinitions(sources);
  (void)FormatDiagnostics(result.diagnostics);
  if (!result.ok() && result.diagnostics.empty()) std::abort();
  if (result.ok() && !text.empty()) {
    Feed(result.definitions, text);
    ReadColumns(result.definitions, text);
  }
  return 0;
}
