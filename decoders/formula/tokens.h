// The words, numbers and signs of a formula, one after the other.
#pragma once

#include <cstddef>
#include <string_view>

namespace proofdrive::decoders {

struct Token {
  std::string_view text;  // empty at the end
  std::size_t at = 0;
};

struct Comparison {
  std::string_view sign;
  std::string_view function;  // its name for the mathematics library
};
// Null when it is no sign of a comparison.
const Comparison* FindComparison(std::string_view sign);

bool IsWordStart(char c);

class Tokens {
 public:
  // `text` must outlive this.
  explicit Tokens(std::string_view text) : text_(text) {}
  Token Next();

 private:
  std::size_t TokenEnd(std::size_t at) const;
  std::size_t NumberEnd(std::size_t at) const;

  std::string_view text_;
  std::size_t end_ = 0;
};

}  // namespace proofdrive::decoders
