#include "decoders/formula/tokens.h"

#include <cctype>

namespace proofdrive::decoders {
namespace {

// Longer signs first.
constexpr Comparison kComparisons[] = {
    {"==", "eq"}, {"!=", "ne"}, {"<=", "le"}, {">=", "ge"}, {"<", "lt"}, {">", "gt"},
};

bool IsDigit(char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; }
bool IsWordPart(char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_'; }

}  // namespace

bool IsWordStart(char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0 || c == '_'; }

const Comparison* FindComparison(std::string_view sign) {
  for (const Comparison& comparison : kComparisons) {
    if (comparison.sign == sign) return &comparison;
  }
  return nullptr;
}

Token Tokens::Next() {
  std::size_t at = end_;
  while (at < text_.size() && std::isspace(static_cast<unsigned char>(text_[at])) != 0) ++at;
  end_ = at < text_.size() ? TokenEnd(at) : at;
  return {text_.substr(at, end_ - at), at};
}

std::size_t Tokens::TokenEnd(std::size_t at) const {
  if (IsDigit(text_[at])) return NumberEnd(at);
  if (IsWordStart(text_[at])) {
    std::size_t end = at;
    while (end < text_.size() && IsWordPart(text_[end])) ++end;
    return end;
  }
  for (const Comparison& comparison : kComparisons) {
    if (text_.substr(at).starts_with(comparison.sign)) return at + comparison.sign.size();
  }
  return at + 1;
}

std::size_t Tokens::NumberEnd(std::size_t at) const {
  const bool hexadecimal = text_.substr(at).starts_with("0x");
  std::size_t end = at;
  for (; end < text_.size(); ++end) {
    const char c = text_[end];
    const bool exponent_sign =
        !hexadecimal && (c == '+' || c == '-') && (text_[end - 1] == 'e' || text_[end - 1] == 'E');
    if (!IsWordPart(c) && c != '.' && !exponent_sign) break;
  }
  return end;
}

}  // namespace proofdrive::decoders
