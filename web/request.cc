#include "web/request.h"

#include <nlohmann/json.hpp>

#include "core/base/json.h"

namespace proofdrive::web {

Response Refusal(unsigned status, const std::string& sentence) {
  using nlohmann::json;
  Response response;
  response.status = status;
  // What the client sent may be quoted, and need not be UTF-8.
  response.body = DumpJson(json{{"error", sentence}}) + "\n";
  return response;
}

}  // namespace proofdrive::web
