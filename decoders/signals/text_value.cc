#include "decoders/signals/text_value.h"

#include "core/base/text.h"

namespace proofdrive::decoders {

std::optional<std::string> TextOf(const Signal& signal, std::uint32_t element, ByteSpan payload) {
  const Location& location =
      signal.is_series ? signal.elements[element % signal.per_page] : signal.location;
  if (location.bytes_needed() > payload.size()) return std::nullopt;
  std::string text;
  for (const Piece& piece : location.pieces) {
    const char character = static_cast<char>(payload[piece.byte]);
    if (character == '\0') break;
    text += character;
  }
  while (!text.empty() && (text.back() == ' ' || text.back() == '\xFF')) text.pop_back();
  if (text.empty() || Printable(text) != text) return std::nullopt;
  return text;
}

}  // namespace proofdrive::decoders
