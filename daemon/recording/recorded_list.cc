#include "daemon/recording/recorded_list.h"

#include <nlohmann/json.hpp>
#include <sstream>
#include <utility>

#include "core/base/json.h"
#include "core/base/text.h"
#include "session/model/layout.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;

std::string TextOf(const json& object, const char* key) {
  const auto found = object.find(key);
  return found != object.end() && found->is_string() ? found->get<std::string>() : "";
}

// Nothing when the line is no entry.
std::vector<RecordedSession> Parse(const std::string& line) {
  const json object = json::parse(line, nullptr, false);
  if (!object.is_object()) return {};
  RecordedSession session;
  session.name = TextOf(object, "session");
  session.start = TextOf(object, "start");
  session.stage = TextOf(object, "stage");
  session.vehicle = TextOf(object, "vehicle");
  const auto started = object.find("started_ns");
  if (started == object.end() || !started->is_number_integer()) return {};
  session.started = WallFromNanoseconds(started->get<std::int64_t>());
  if (session.name.empty() || session.start.empty()) return {};
  return {std::move(session)};
}

std::string LineOf(const RecordedSession& session) {
  const json object{{"session", session.name},
                    {"start", session.start},
                    {"stage", session.stage},
                    {"vehicle", session.vehicle},
                    {"started_ns", ToNanoseconds(session.started)}};
  return DumpJson(object) + "\n";
}

}  // namespace

RecordedList::RecordedList(Files& files, std::string directory)
    : files_(files), directory_(std::move(directory)) {}

std::string RecordedList::Path() const { return directory_ + "/" + kFileName; }

std::vector<RecordedSession> RecordedList::Read() const {
  const auto info = files_.Look(Path());
  if (!info.ok() || !info->regular) return {};
  const auto text = ReadWholeFile(files_, Path(), kMostBytes);
  if (!text.ok()) return {};
  std::vector<RecordedSession> sessions;
  std::istringstream lines(*text);
  for (std::string line; std::getline(lines, line);) {
    for (RecordedSession& session : Parse(line)) sessions.push_back(std::move(session));
  }
  return sessions;
}

Status RecordedList::Add(const std::string& path, RecordedSession session) {
  const auto info = files_.Look(Path());
  if (info.ok() && !info->regular) {
    return Status(ErrorKind::kInvalidArgument, Path() + ": it is no ordinary file");
  }
  session.name = FileNameOf(path);
  session.start = StartOf(path);
  if (session.start.empty()) return Status(ErrorKind::kNotFound, path + ": it cannot be read");
  std::string text;
  for (const RecordedSession& known : Read()) {
    const bool there = files_.Exists(directory_ + "/" + known.name);
    if (there && known.name != session.name) text += LineOf(known);
  }
  return ReplaceFile(files_, Path(), text + LineOf(session));
}

std::string RecordedList::StartOf(const std::string& path) const {
  const auto info = files_.Look(path);
  if (!info.ok() || !info->regular) return "";
  const auto file = files_.Open(path);
  if (!file.ok()) return "";
  const auto bytes = (*file)->Read(0, session::kPreambleBytes);
  return bytes.ok() ? HexBytes(*bytes) : "";
}

}  // namespace proofdrive::daemon
