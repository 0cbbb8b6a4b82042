#include "core/base/characters.h"

#include <algorithm>
#include <iterator>

namespace proofdrive {
namespace {

struct Range {
  char32_t first;
  char32_t last;
};

// Unicode categories Cc, Zl, Zp, and of Cf what hides or turns text; in order.
constexpr Range kControls[] = {{0x00, 0x1F},     {0x7F, 0x9F},      {0x61C, 0x61C},
                               {0x180E, 0x180E}, {0x200B, 0x200B},  {0x200E, 0x200F},
                               {0x2028, 0x202E}, {0x2060, 0x206F},  {0xFEFF, 0xFEFF},
                               {0xFFF9, 0xFFFB}, {0xE0000, 0xE007F}};

// Bytes that the first one announces, 0 when it announces none.
std::size_t AnnouncedLength(unsigned char lead) {
  if (lead < 0x80) return 1;
  if (lead < 0xC2) return 0;
  if (lead < 0xE0) return 2;
  if (lead < 0xF0) return 3;
  return lead < 0xF5 ? 4 : 0;
}

// Overlong forms, halves of surrogate pairs and numbers beyond Unicode are no characters.
bool IsCharacter(char32_t code, std::size_t length) {
  if (length == 3) return code >= 0x800 && (code < 0xD800 || code > 0xDFFF);
  return length < 4 || (code >= 0x10000 && code <= 0x10FFFF);
}

}  // namespace

Character FirstCharacter(std::string_view text) {
  const auto lead = static_cast<unsigned char>(text[0]);
  const std::size_t length = AnnouncedLength(lead);
  if (length == 0 || length > text.size()) return {};
  char32_t code = length == 1 ? lead : lead & (0xFFU >> (length + 1));
  for (std::size_t i = 1; i < length; ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if ((byte & 0xC0) != 0x80) return {};
    code = (code << 6) | (byte & 0x3FU);
  }
  return IsCharacter(code, length) ? Character{code, length} : Character{};
}

bool IsControl(char32_t code) {
  const auto range = std::lower_bound(std::begin(kControls), std::end(kControls), code,
                                      [](const Range& r, char32_t c) { return r.last < c; });
  return range != std::end(kControls) && code >= range->first;
}

}  // namespace proofdrive
