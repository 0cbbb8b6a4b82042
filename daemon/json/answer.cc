#include "daemon/json/answer.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "core/base/text.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;

constexpr std::size_t kLongestText = 2000;

}  // namespace

web::Response Answer(unsigned status, const json& body) {
  web::Response response;
  response.status = status;
  response.body = DumpJson(body) + "\n";
  return response;
}

web::Response Refuse(const Status& status) {
  switch (status.kind()) {
    case ErrorKind::kInvalidArgument:
      return web::Refusal(400, status.message());
    case ErrorKind::kBusy:
    case ErrorKind::kAlreadyExists:
    case ErrorKind::kUnavailable:
      return web::Refusal(409, status.message());
    case ErrorKind::kNoSpace:
      return web::Refusal(507, status.message());
    default:
      return web::Refusal(500, status.message());
  }
}

Result<json> ParseBody(const std::string& body, const std::vector<std::string>& known) {
  if (Trim(body).empty()) return json::object();
  json object = json::parse(body, nullptr, false);
  if (!object.is_object()) {
    return Status(ErrorKind::kInvalidArgument, "the body must be one JSON object");
  }
  for (const auto& [key, value] : object.items()) {
    if (std::find(known.begin(), known.end(), key) == known.end()) {
      return Status(ErrorKind::kInvalidArgument,
                    "unknown key \"" + Printable(key) +
                        "\"; possible: " + (known.empty() ? "none" : Join(known, ", ")));
    }
  }
  return object;
}

Result<std::string> TextOf(const json& object, const std::string& key) {
  if (!object.contains(key) || object[key].is_null()) return std::string();
  if (!object[key].is_string()) {
    return Status(ErrorKind::kInvalidArgument, "\"" + key + "\" must be text");
  }
  const auto text = object[key].get<std::string>();
  if (text.size() <= kLongestText) return text;
  return Status(ErrorKind::kInvalidArgument,
                "\"" + key + "\" is longer than " + FormatCount(kLongestText) + " characters");
}

}  // namespace proofdrive::daemon
