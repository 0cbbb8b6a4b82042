#include "core/base/json.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "core/base/characters.h"

namespace proofdrive {
namespace {

void AppendEscape(char32_t unit, std::string& out) {
  constexpr char kDigits[] = "0123456789abcdef";
  out += "\\u";
  for (int shift = 12; shift >= 0; shift -= 4) out += kDigits[(unit >> shift) & 0xF];
}

// Control characters beyond ASCII stand as they are in JSON: whoever prints the document on a
// terminal would obey them. Escaped they mean the same.
std::string WithoutControls(std::string text) {
  const bool plain =
      std::all_of(text.begin(), text.end(), [](char c) { return c > 0 && c < 0x7F; });
  if (plain) return text;
  std::string out;
  for (std::string_view rest = text; !rest.empty();) {
    const Character first = FirstCharacter(rest);
    const std::size_t length = std::max<std::size_t>(first.length, 1);
    if (first.code < 0x7F || !IsControl(first.code)) {
      out += rest.substr(0, length);
    } else if (first.code < 0x10000) {
      AppendEscape(first.code, out);
    } else {
      AppendEscape(0xD800 + ((first.code - 0x10000) >> 10), out);
      AppendEscape(0xDC00 + ((first.code - 0x10000) & 0x3FF), out);
    }
    rest.remove_prefix(length);
  }
  return out;
}

template <typename Json>
std::string Dump(const Json& document, int indent) {
  return WithoutControls(document.dump(indent, ' ', false, Json::error_handler_t::replace));
}

}  // namespace

std::string DumpJson(const nlohmann::json& document, int indent) { return Dump(document, indent); }

std::string DumpJson(const nlohmann::ordered_json& document, int indent) {
  return Dump(document, indent);
}

std::string DumpJsonDocument(const nlohmann::ordered_json& document) {
  return DumpJson(document, 2) + "\n";
}

std::string DumpJsonDocument(const nlohmann::json& document) {
  return DumpJson(document, 2) + "\n";
}

std::string JsonString(std::string_view text) { return DumpJson(nlohmann::json(text)); }

}  // namespace proofdrive
