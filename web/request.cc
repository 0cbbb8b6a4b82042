#include "web/request.h"

#include <nlohmann/json.hpp>

namespace proofdrive::web {

Response Refusal(unsigned status, const std::string& sentence) {
  using nlohmann::json;
  Response response;
  response.status = status;
  // What the client sent may be quoted, and need not be UTF-8.
  response.body =
      json{{"error", sentence}}.dump(-1, ' ', false, json::error_handler_t::replace) + "\n";
  return response;
}

}  // namespace proofdrive::web
