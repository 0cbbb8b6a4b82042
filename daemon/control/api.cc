#include "daemon/control/api.h"

#include <charconv>
#include <nlohmann/json.hpp>
#include <utility>

#include "core/base/text.h"
#include "daemon/asking/desk.h"
#include "daemon/control/asking_routes.h"
#include "daemon/json/answer.h"
#include "daemon/json/live_json.h"
#include "daemon/json/status_json.h"
#include "daemon/json/value_json.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;

Result<std::optional<Duration>> LengthOf(const json& object) {
  if (!object.contains("for_s") || object["for_s"].is_null()) return std::optional<Duration>();
  constexpr double kLongest = 30 * 86400.0;
  const bool number = object["for_s"].is_number();
  const double seconds = number ? object["for_s"].get<double>() : 0;
  if (number && seconds > 0 && seconds <= kLongest) {
    return std::optional<Duration>(FromSeconds(seconds));
  }
  return Status(ErrorKind::kInvalidArgument,
                "\"for_s\" must be a number of seconds above 0 and up to 30 days");
}

Result<RecordingWish> ParseRecordingWish(const std::string& body) {
  ASSIGN_OR_RETURN(const json object, ParseBody(body, {"name", "stage", "notes", "for_s"}));
  RecordingWish wish;
  ASSIGN_OR_RETURN(wish.name, TextOf(object, "name"));
  if (!wish.name.empty()) {
    ASSIGN_OR_RETURN(wish.name, ParseSessionName(wish.name));
  }
  ASSIGN_OR_RETURN(wish.notes, TextOf(object, "notes"));
  ASSIGN_OR_RETURN(const std::string stage, TextOf(object, "stage"));
  if (!stage.empty()) {
    ASSIGN_OR_RETURN(wish.stage, session::ParseStage(stage));
  }
  ASSIGN_OR_RETURN(wish.length, LengthOf(object));
  return wish;
}

Result<std::string> ParseMark(const std::string& body) {
  ASSIGN_OR_RETURN(const json object, ParseBody(body, {"text"}));
  ASSIGN_OR_RETURN(const std::string text, TextOf(object, "text"));
  if (!Trim(text).empty()) return text;
  return Status(ErrorKind::kInvalidArgument, "\"text\" is missing: say what happened");
}

web::Response Start(Pipeline& pipeline, const RecordingWish& wish) {
  const auto path = pipeline.StartRecording(wish);
  return path.ok() ? Answer(200, json{{"path", *path}}) : Refuse(path.status());
}

web::Response Stop(Pipeline& pipeline) {
  const auto ended = pipeline.StopRecording();
  return ended.ok() ? Answer(200, RecordingJson(*ended)) : Refuse(ended.status());
}

web::Response Mark(Pipeline& pipeline, const std::string& text) {
  const auto time = pipeline.Mark(text);
  if (!time.ok()) return Refuse(time.status());
  return Answer(200, json{{"time", FormatWallTime(*time, 6)}, {"text", text}});
}

// "a%20b" -> "a b" (RFC 3986 cl. 2.1). Anything that is not a good escape stays as it is.
std::string Unescape(std::string_view text) {
  std::string plain;
  while (!text.empty()) {
    unsigned char byte = 0;
    const char* const digits = text.data() + 1;
    if (text[0] == '%' && text.size() >= 3 &&
        std::from_chars(digits, digits + 2, byte, 16).ptr == digits + 2) {
      plain += static_cast<char>(byte);
      text.remove_prefix(3);
    } else {
      plain += text[0];
      text.remove_prefix(1);
    }
  }
  return plain;
}

Result<std::vector<std::string>> ParseHistoryQuery(std::string_view query) {
  constexpr std::string_view kKey = "signals=";
  constexpr std::size_t kMost = 16;
  if (!query.starts_with(kKey)) {
    return Status(ErrorKind::kInvalidArgument,
                  "say which: /api/history?signals=pack_voltage,cell_voltage.lowest");
  }
  std::vector<std::string> names;
  for (const std::string& name : Split(query.substr(kKey.size()), ',')) {
    names.push_back(Unescape(name));
  }
  if (names.size() <= kMost) return names;
  return Status(ErrorKind::kInvalidArgument, "at most 16 signals at once");
}

json HistoryJson(const std::vector<std::string>& names, const LastMinutes::Extract& extract) {
  json object{{"time", extract.times}, {"signals", json::object()}};
  for (std::size_t i = 0; i < names.size(); ++i) {
    json& column = object["signals"][names[i]] = json::array();
    for (const float value : extract.columns[i]) column.push_back(ShortNumber(value));
  }
  return object;
}

web::Response Told(const std::string& text) {
  web::Response response;
  response.body = text + "\n";
  return response;
}

}  // namespace

void ControlApi::OnWritingThread(std::function<web::Response()> work,
                                 const web::Reply& reply) const {
  const bool taken = queue_->PutTask([work = std::move(work), reply] { reply(work()); });
  if (!taken) reply(web::Refusal(503, "the daemon is shutting down"));
}

void ControlApi::OnStatus(const web::Call& call, const web::Reply& reply) const {
  nlohmann::json status = StatusJson(*box_->Get());
  status["requests_allowed"] = desk_ != nullptr;
  if (call.owner && !page_link_->empty()) status["page"] = *page_link_;
  reply(Answer(200, status));
}

void ControlApi::OnVehicle(const web::Call& /*call*/, const web::Reply& reply) const {
  reply(Told(*feed_->vehicle()));
}

void ControlApi::OnNow(const web::Call& /*call*/, const web::Reply& reply) const {
  reply(Told(*feed_->now()));
}

void ControlApi::OnHistory(const web::Call& call, const web::Reply& reply) const {
  const auto names = ParseHistoryQuery(call.query);
  if (!names.ok()) return reply(Refuse(names.status()));
  const auto extract = feed_->last_minutes().Get(*names);
  if (!extract.ok()) return reply(Refuse(extract.status()));
  reply(Answer(200, HistoryJson(*names, *extract)));
}

void ControlApi::OnStart(const web::Call& call, const web::Reply& reply) const {
  const auto wish = ParseRecordingWish(call.body);
  if (!wish.ok()) return reply(Refuse(wish.status()));
  OnWritingThread([pipeline = pipeline_, wish = *wish] { return Start(*pipeline, wish); }, reply);
}

void ControlApi::OnStop(const web::Call& /*call*/, const web::Reply& reply) const {
  if (desk_ != nullptr && box_->Get()->recording) {
    // The codes at the end belong to the recording.
    return desk_->Codes("end", [*this, reply](const web::Response&) {
      OnWritingThread([pipeline = pipeline_] { return Stop(*pipeline); }, reply);
    });
  }
  OnWritingThread([pipeline = pipeline_] { return Stop(*pipeline); }, reply);
}

void ControlApi::OnMark(const web::Call& call, const web::Reply& reply) const {
  const auto text = ParseMark(call.body);
  if (!text.ok()) return reply(Refuse(text.status()));
  OnWritingThread([pipeline = pipeline_, text = *text] { return Mark(*pipeline, text); }, reply);
}

void ControlApi::Asked(AskingRoute route, const web::Call& call, const web::Reply& reply) const {
  const auto snapshot = box_->Get();
  if (desk_ == nullptr) return reply(NotAllowed(route, snapshot->definitions.get()));
  const Status asked = Ask(route, call.body, *desk_, reply);
  if (!asked.ok()) reply(Refuse(asked));
}

void ControlApi::OnCodes(const web::Call& call, const web::Reply& reply) const {
  Asked(AskingRoute::kCodes, call, reply);
}

void ControlApi::OnIdentify(const web::Call& call, const web::Reply& reply) const {
  Asked(AskingRoute::kIdentify, call, reply);
}

void ControlApi::OnClear(const web::Call& call, const web::Reply& reply) const {
  Asked(AskingRoute::kClear, call, reply);
}

// Every request there is. A row and a function is all it takes to have a new one.
std::vector<web::Route> ControlApi::Routes() const {
  struct Row {
    const char* method;
    const char* path;
    void (ControlApi::*handle)(const web::Call& call, const web::Reply& reply) const;
  };
  static constexpr Row kRows[] = {
      {"GET", "/api/status", &ControlApi::OnStatus},
      {"GET", "/api/vehicle", &ControlApi::OnVehicle},
      {"GET", "/api/now", &ControlApi::OnNow},
      {"GET", "/api/history", &ControlApi::OnHistory},
      {"POST", "/api/record/start", &ControlApi::OnStart},
      {"POST", "/api/record/stop", &ControlApi::OnStop},
      {"POST", "/api/mark", &ControlApi::OnMark},
      {"POST", "/api/codes", &ControlApi::OnCodes},
      {"POST", "/api/identify", &ControlApi::OnIdentify},
      {"POST", "/api/clear", &ControlApi::OnClear},
  };
  std::vector<web::Route> routes;
  for (const Row& row : kRows) {
    routes.push_back(
        {row.method, row.path,
         [api = *this, handle = row.handle](const web::Call& call, const web::Reply& reply) {
           (api.*handle)(call, reply);
         }});
  }
  return routes;
}

}  // namespace proofdrive::daemon
