#include "decoders/signals/text_value.h"

#include "core/base/text.h"

namespace proofdrive::decoders {

std::optional<std::string> TextOf(const Signal& signal, ByteSpan payload) {
  if (signal.location.bytes_needed() > payload.size()) return std::nullopt;
  std::string text;
  for (const Piece& piece : signal.location.pieces) {
    const char character = static_cast<char>(payload[piece.byte]);
    if (character == '\0') break;
    text += character;
  }
  while (!text.empty() && (text.back() == ' ' || text.back() == '\xFF')) text.pop_back();
  if (text.empty() || Printable(text) != text) return std::nullopt;
  return text;
}

}  // namespace proofdrive::decoders
