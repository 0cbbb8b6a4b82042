#include "daemon/control/asking_routes.h"

#include <nlohmann/json.hpp>

#include "daemon/asking/desk.h"
#include "daemon/json/answer.h"

namespace proofdrive::daemon {
namespace {

Status AskCodes(const std::string& body, RequestDesk& desk, const web::Reply& reply) {
  const auto object = ParseBody(body, {});
  if (object.ok()) desk.Codes("on demand", reply);
  return object.status();
}

Status AskIdentify(const std::string& body, RequestDesk& desk, const web::Reply& reply) {
  ASSIGN_OR_RETURN(const auto object, ParseBody(body, {"vin"}));
  const auto vin = object.find("vin");
  if (vin != object.end() && !vin->is_boolean()) {
    return Status(ErrorKind::kInvalidArgument, "\"vin\" must be true or false");
  }
  desk.Identify(vin != object.end() && vin->template get<bool>(), reply);
  return Status::Ok();
}

Status AskClear(const std::string& body, RequestDesk& desk, const web::Reply& reply) {
  ASSIGN_OR_RETURN(const auto object, ParseBody(body, {"reason", "confirm"}));
  RequestDesk::ClearWish wish;
  ASSIGN_OR_RETURN(wish.reason, TextOf(object, "reason"));
  ASSIGN_OR_RETURN(wish.confirm, TextOf(object, "confirm"));
  desk.Clear(wish, reply);
  return Status::Ok();
}

}  // namespace

Status Ask(AskingRoute route, const std::string& body, RequestDesk& desk, const web::Reply& reply) {
  switch (route) {
    case AskingRoute::kCodes:
      return AskCodes(body, desk, reply);
    case AskingRoute::kIdentify:
      return AskIdentify(body, desk, reply);
    case AskingRoute::kClear:
      return AskClear(body, desk, reply);
  }
  return Status::Ok();
}

web::Response NotAllowed(AskingRoute route, const decoders::Definitions* definitions) {
  std::string text =
      "the daemon only listens, so nothing was asked. To ask control units, start it with "
      "--allow-requests; the adapter must not be in listen-only mode. It would then send, at most "
      "20 requests per second:";
  for (const std::string& line : Questions::Describe(definitions)) text += "\n  " + line;
  if (route == AskingRoute::kClear) {
    text += "\n  after a second question, to each unit: ClearDiagnosticInformation FFFFFF";
  }
  return web::Refusal(403, text);
}

}  // namespace proofdrive::daemon
