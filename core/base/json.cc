#include "core/base/json.h"

#include <nlohmann/json.hpp>

namespace proofdrive {
namespace {

template <typename Json>
std::string Dump(const Json& document, int indent) {
  return document.dump(indent, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

std::string DumpJson(const nlohmann::json& document, int indent) { return Dump(document, indent); }

std::string DumpJson(const nlohmann::ordered_json& document, int indent) {
  return Dump(document, indent);
}

std::string JsonString(std::string_view text) { return DumpJson(nlohmann::json(text)); }

}  // namespace proofdrive
