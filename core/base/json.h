// JSON as text. The library behind it is only declared here.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>

namespace proofdrive {

// `indent` -1: one line. Bytes that are not UTF-8 are replaced by U+FFFD; control characters and
// what turns or hides text (IsControl) stand as escapes.
std::string DumpJson(const nlohmann::json& document, int indent = -1);
std::string DumpJson(const nlohmann::ordered_json& document, int indent = -1);

// As files and outputs have it: indented by two, a line break at the end.
std::string DumpJsonDocument(const nlohmann::ordered_json& document);
std::string DumpJsonDocument(const nlohmann::json& document);

// The text as a JSON string with its quotes, by the same rules.
std::string JsonString(std::string_view text);

}  // namespace proofdrive
