#include "daemon/asking/asking_routes.h"

#include <nlohmann/json.hpp>

#include "core/base/text.h"
#include "daemon/asking/desk.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;

constexpr std::size_t kLongestText = 4096;

ApiResponse Refuse(unsigned status, const std::string& error) {
  return {status, json{{"error", error}}.dump(-1, ' ', false, json::error_handler_t::replace)};
}

std::string HowToAllow(const std::string& target, const decoders::Definitions* definitions) {
  std::string text =
      "the daemon only listens, so nothing was asked. To ask control units, start it with "
      "--allow-requests; the adapter must not be in listen-only mode. It would then send, at most "
      "20 requests per second:";
  for (const std::string& line : Questions::Describe(definitions)) text += "\n  " + line;
  if (target == "/api/clear") {
    text += "\n  after a second question, to each unit: ClearDiagnosticInformation FFFFFF";
  }
  return text;
}

Result<std::string> TextOf(const json& body, const char* key) {
  const auto found = body.find(key);
  if (found == body.end() || found->is_null()) return std::string();
  if (found->is_string() && found->get_ref<const std::string&>().size() <= kLongestText) {
    return found->get<std::string>();
  }
  return Status(ErrorKind::kInvalidArgument, std::string("\"") + key + "\" must be a short text");
}

Status CheckKeys(const json& body, std::initializer_list<const char*> known) {
  for (const auto& [key, value] : body.items()) {
    bool fine = false;
    for (const char* name : known) fine = fine || key == name;
    if (!fine) {
      return Status(ErrorKind::kInvalidArgument, "unknown key \"" + Printable(key) + "\"");
    }
  }
  return Status::Ok();
}

Status AskClear(const json& body, RequestDesk& desk, const ControlApi::Reply& reply) {
  RETURN_IF_ERROR(CheckKeys(body, {"reason", "confirm"}));
  RequestDesk::ClearWish wish;
  ASSIGN_OR_RETURN(wish.reason, TextOf(body, "reason"));
  ASSIGN_OR_RETURN(wish.confirm, TextOf(body, "confirm"));
  desk.Clear(wish, reply);
  return Status::Ok();
}

Status AskIdentify(const json& body, RequestDesk& desk, const ControlApi::Reply& reply) {
  RETURN_IF_ERROR(CheckKeys(body, {"vin"}));
  const auto vin = body.find("vin");
  if (vin != body.end() && !vin->is_boolean()) {
    return Status(ErrorKind::kInvalidArgument, "\"vin\" must be true or false");
  }
  desk.Identify(vin != body.end() && vin->get<bool>(), reply);
  return Status::Ok();
}

Status AskCodes(const json& body, RequestDesk& desk, const ControlApi::Reply& reply) {
  RETURN_IF_ERROR(CheckKeys(body, {}));
  desk.Codes("on demand", reply);
  return Status::Ok();
}

}  // namespace

bool HandleAsking(const ApiRequest& request, RequestDesk* desk,
                  const decoders::Definitions* definitions, const ControlApi::Reply& reply) {
  using Ask = Status (*)(const json&, RequestDesk&, const ControlApi::Reply&);
  Ask ask = nullptr;
  if (request.target == "/api/codes") ask = AskCodes;
  if (request.target == "/api/identify") ask = AskIdentify;
  if (request.target == "/api/clear") ask = AskClear;
  if (ask == nullptr) return false;
  if (request.method != "POST") {
    reply(Refuse(405, "ask " + request.target + " with POST"));
    return true;
  }
  if (desk == nullptr) {
    reply(Refuse(403, HowToAllow(request.target, definitions)));
    return true;
  }
  const json body =
      Trim(request.body).empty() ? json::object() : json::parse(request.body, nullptr, false);
  const Status asked =
      body.is_object() ? ask(body, *desk, reply)
                       : Status(ErrorKind::kInvalidArgument, "the body must be one JSON object");
  if (!asked.ok()) reply(Refuse(400, asked.message()));
  return true;
}

}  // namespace proofdrive::daemon
