// Answers to control requests as JSON, and what is read from the bodies of requests.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "web/request.h"

namespace proofdrive::daemon {

web::Response Answer(unsigned status, const nlohmann::json& body);
// The sentence of `status`, with the code of RFC 9110 cl. 15 by what the client can do about it.
web::Response Refuse(const Status& status);

// The body as an object that has no other keys than `known`; an empty body is an empty object.
Result<nlohmann::json> ParseBody(const std::string& body, const std::vector<std::string>& known);
// The text of a key, at most 2,000 bytes; empty when it is missing or null.
Result<std::string> TextOf(const nlohmann::json& object, const std::string& key);

}  // namespace proofdrive::daemon
