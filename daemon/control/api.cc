#include "daemon/control/api.h"

#include <charconv>
#include <nlohmann/json.hpp>
#include <utility>

#include "core/base/text.h"
#include "daemon/asking/asking_routes.h"
#include "daemon/asking/desk.h"
#include "daemon/json/live_json.h"
#include "daemon/json/status_json.h"
#include "daemon/json/value_json.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;

constexpr std::size_t kLongestText = 2000;

ApiResponse Answer(unsigned status, const json& body) {
  return {status, body.dump(-1, ' ', false, json::error_handler_t::replace)};
}

ApiResponse Refuse(unsigned status, const std::string& sentence) {
  return Answer(status, json{{"error", sentence}});
}

// Status codes of RFC 9110 by what the client can do about it.
ApiResponse Refuse(const Status& status) {
  switch (status.kind()) {
    case ErrorKind::kInvalidArgument:
      return Refuse(400, status.message());
    case ErrorKind::kBusy:
    case ErrorKind::kAlreadyExists:
    case ErrorKind::kUnavailable:
      return Refuse(409, status.message());
    case ErrorKind::kNoSpace:
      return Refuse(507, status.message());
    default:
      return Refuse(500, status.message());
  }
}

// The body as an object that has no other keys than `known`; an empty body is an empty object.
Result<json> ParseBody(const std::string& body, const std::vector<std::string>& known) {
  if (Trim(body).empty()) return json::object();
  json object = json::parse(body, nullptr, false);
  if (!object.is_object()) {
    return Status(ErrorKind::kInvalidArgument, "the body must be one JSON object");
  }
  for (const auto& [key, value] : object.items()) {
    if (std::find(known.begin(), known.end(), key) == known.end()) {
      return Status(ErrorKind::kInvalidArgument,
                    "unknown key \"" + Printable(key) + "\"; possible: " + Join(known, ", "));
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

Result<RecordRequest> ParseRecordRequest(const std::string& body) {
  ASSIGN_OR_RETURN(const json object, ParseBody(body, {"name", "stage", "notes", "for_s"}));
  RecordRequest request;
  ASSIGN_OR_RETURN(request.name, TextOf(object, "name"));
  if (!request.name.empty()) RETURN_IF_ERROR(CheckSessionName(request.name));
  ASSIGN_OR_RETURN(request.notes, TextOf(object, "notes"));
  ASSIGN_OR_RETURN(const std::string stage, TextOf(object, "stage"));
  if (!stage.empty()) {
    ASSIGN_OR_RETURN(request.stage, session::ParseStage(stage));
  }
  ASSIGN_OR_RETURN(request.length, LengthOf(object));
  return request;
}

Result<std::string> ParseMark(const std::string& body) {
  ASSIGN_OR_RETURN(const json object, ParseBody(body, {"text"}));
  ASSIGN_OR_RETURN(const std::string text, TextOf(object, "text"));
  if (!Trim(text).empty()) return text;
  return Status(ErrorKind::kInvalidArgument, "\"text\" is missing: say what happened");
}

ApiResponse Start(Pipeline& pipeline, const RecordRequest& request) {
  const auto path = pipeline.StartRecording(request);
  return path.ok() ? Answer(200, json{{"path", *path}}) : Refuse(path.status());
}

ApiResponse Stop(Pipeline& pipeline) {
  const auto ended = pipeline.StopRecording();
  return ended.ok() ? Answer(200, RecordingJson(*ended)) : Refuse(ended.status());
}

ApiResponse Mark(Pipeline& pipeline, const std::string& text) {
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

json HistoryJson(const std::vector<std::string>& names, const History::Extract& extract) {
  json object{{"time", extract.times}, {"signals", json::object()}};
  for (std::size_t i = 0; i < names.size(); ++i) {
    json& column = object["signals"][names[i]] = json::array();
    for (const float value : extract.columns[i]) column.push_back(ShortNumber(value));
  }
  return object;
}

}  // namespace

// Every request there is. A row and a function is all it takes to have a new one.
struct ControlApi::Route {
  std::string_view method;
  std::string_view path;
  void (ControlApi::*handle)(const Call& call, Reply reply) const;
};

std::span<const ControlApi::Route> ControlApi::Routes() {
  static constexpr Route kRoutes[] = {
      {"GET", "/api/status", &ControlApi::OnStatus},
      {"GET", "/api/vehicle", &ControlApi::OnVehicle},
      {"GET", "/api/now", &ControlApi::OnNow},
      {"GET", "/api/history", &ControlApi::OnHistory},
      {"POST", "/api/record/start", &ControlApi::OnStart},
      {"POST", "/api/record/stop", &ControlApi::OnStop},
      {"POST", "/api/mark", &ControlApi::OnMark},
  };
  return kRoutes;
}

void ControlApi::OnWritingThread(std::function<ApiResponse()> work, Reply reply) const {
  const bool taken = queue_->PutTask([work = std::move(work), reply] { reply(work()); });
  if (!taken) reply(Refuse(503, "the daemon is shutting down"));
}

void ControlApi::OnStatus(const Call& /*call*/, Reply reply) const {
  reply(Answer(200, StatusJson(*box_->Get())));
}

void ControlApi::OnVehicle(const Call& /*call*/, Reply reply) const {
  reply({200, *feed_->vehicle()});
}

void ControlApi::OnNow(const Call& /*call*/, Reply reply) const { reply({200, *feed_->now()}); }

void ControlApi::OnHistory(const Call& call, Reply reply) const {
  const auto names = ParseHistoryQuery(call.query);
  if (!names.ok()) return reply(Refuse(names.status()));
  const auto extract = feed_->history().Get(*names);
  if (!extract.ok()) return reply(Refuse(extract.status()));
  reply(Answer(200, HistoryJson(*names, *extract)));
}

void ControlApi::OnStart(const Call& call, Reply reply) const {
  const auto wish = ParseRecordRequest(call.body);
  if (!wish.ok()) return reply(Refuse(wish.status()));
  OnWritingThread([pipeline = pipeline_, wish = *wish] { return Start(*pipeline, wish); },
                  std::move(reply));
}

void ControlApi::OnStop(const Call& /*call*/, Reply reply) const {
  if (desk_ != nullptr && box_->Get()->recording) {
    // The codes at the end belong to the recording.
    return desk_->Codes("end", [*this, reply](const ApiResponse&) {
      OnWritingThread([pipeline = pipeline_] { return Stop(*pipeline); }, reply);
    });
  }
  OnWritingThread([pipeline = pipeline_] { return Stop(*pipeline); }, std::move(reply));
}

void ControlApi::OnMark(const Call& call, Reply reply) const {
  const auto text = ParseMark(call.body);
  if (!text.ok()) return reply(Refuse(text.status()));
  OnWritingThread([pipeline = pipeline_, text = *text] { return Mark(*pipeline, text); },
                  std::move(reply));
}

void ControlApi::Handle(const ApiRequest& request, Reply reply) const {
  const std::string_view target = request.target;
  const std::string_view path = target.substr(0, target.find('?'));
  const ApiRequest plain{request.method, std::string(path), request.body};
  if (HandleAsking(plain, desk_, box_->Get()->definitions.get(), reply)) return;
  const Call call{path.size() < target.size() ? target.substr(path.size() + 1) : "", request.body};
  std::vector<std::string> possible;
  for (const Route& route : Routes()) {
    if (route.path != path) {
      possible.push_back(std::string(route.method) + " " + std::string(route.path));
    } else if (route.method != request.method) {
      return reply(Refuse(405, "ask " + std::string(path) + " with " + std::string(route.method)));
    } else {
      return (this->*route.handle)(call, std::move(reply));
    }
  }
  reply(Refuse(404, "there is no " + Printable(path) + "; possible: " + Join(possible, ", ")));
}

}  // namespace proofdrive::daemon
