// Text that came from outside, as it may be shown: on a terminal, in a log, in JSON, in HTML.
#pragma once

#include <cstddef>
#include <string>
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

// Printable line by line: line breaks stay, and `indent` stands before every further line, so that
// none can be taken for a line of its own.
std::string PrintableLines(std::string_view text, std::string_view indent);

}  // namespace proofdrive
