// Single characters of UTF-8, and which of them do something instead of showing something.
#pragma once

#include <cstddef>
#include <string_view>

namespace proofdrive {

struct Character {
  char32_t code = 0;
  std::size_t length = 0;  // bytes; 0: the text does not begin with valid UTF-8
};

// REQUIRES: `text` is not empty.
Character FirstCharacter(std::string_view text);

// Characters that do something instead of showing something: control characters, line separators,
// what turns the direction of writing, what is invisible. Joiners (U+200C, U+200D) are none: words
// of some languages need them.
bool IsControl(char32_t code);

}  // namespace proofdrive
