#include "daemon/control/api.h"

#include <nlohmann/json.hpp>
#include <utility>

#include "core/base/text.h"
#include "daemon/control/status_json.h"

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

}  // namespace

void ControlApi::OnWritingThread(std::function<ApiResponse()> work, Reply reply) const {
  const bool taken = queue_->PutTask([work = std::move(work), reply] { reply(work()); });
  if (!taken) reply(Refuse(503, "the daemon is shutting down"));
}

void ControlApi::Handle(const ApiRequest& request, Reply reply) const {
  const bool get = request.method == "GET";
  if (request.target == "/api/status") {
    if (!get) return reply(Refuse(405, "ask /api/status with GET"));
    return reply(Answer(200, StatusJson(*box_->Get())));
  }
  const bool start = request.target == "/api/record/start";
  const bool stop = request.target == "/api/record/stop";
  const bool mark = request.target == "/api/mark";
  if (!start && !stop && !mark) {
    return reply(Refuse(404, "there is no " + Printable(request.target) +
                                 "; possible: GET /api/status, POST /api/record/start, "
                                 "/api/record/stop, /api/mark"));
  }
  if (request.method != "POST") return reply(Refuse(405, "ask " + request.target + " with POST"));
  Pipeline& pipeline = *pipeline_;
  if (stop) return OnWritingThread([&pipeline] { return Stop(pipeline); }, std::move(reply));
  if (start) {
    const auto wish = ParseRecordRequest(request.body);
    if (!wish.ok()) return reply(Refuse(wish.status()));
    return OnWritingThread([&pipeline, wish = *wish] { return Start(pipeline, wish); },
                           std::move(reply));
  }
  const auto text = ParseMark(request.body);
  if (!text.ok()) return reply(Refuse(text.status()));
  OnWritingThread([&pipeline, text = *text] { return Mark(pipeline, text); }, std::move(reply));
}

}  // namespace proofdrive::daemon
