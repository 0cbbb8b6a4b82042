#include "tools/daemon/daemon_answers.h"

#include <nlohmann/json.hpp>

#include "core/base/text.h"
#include "core/base/time.h"

namespace proofdrive::tools {

using nlohmann::json;

Result<json> ParseAnswer(const std::string& answer) {
  json object = json::parse(answer, nullptr, false);
  if (object.is_object()) return object;
  return Status(ErrorKind::kCorrupt,
                "the answer makes no sense: is it proofdrived that listens on this socket?");
}

std::string TextOf(const json& object, const char* key) {
  const auto found = object.find(key);
  if (found == object.end() || !found->is_string()) return {};
  return Printable(found->get<std::string>());
}

double NumberOf(const json& object, const char* key) {
  const auto found = object.find(key);
  return found != object.end() && found->is_number() ? found->get<double>() : 0;
}

std::uint64_t CountOf(const json& object, const char* key) {
  const auto found = object.find(key);
  return found != object.end() && found->is_number_unsigned() ? found->get<std::uint64_t>() : 0;
}

std::vector<json> ObjectsOf(const json& object, const char* key) {
  std::vector<json> objects;
  const auto found = object.find(key);
  if (found == object.end() || !found->is_array()) return objects;
  for (const json& element : *found) {
    if (element.is_object()) objects.push_back(element);
  }
  return objects;
}

std::string DescribeRecording(const json& recording) {
  std::string text = TextOf(recording, "name") + ": " + FormatCount(CountOf(recording, "frames")) +
                     " frames in " + SpokenDuration(FromSeconds(NumberOf(recording, "length_s"))) +
                     ", " + FormatCount(CountOf(recording, "dropped")) +
                     " lost: " + TextOf(recording, "path");
  const std::uint64_t parts = CountOf(recording, "parts");
  if (parts > 1) text += " and " + FormatCount(parts - 1) + " more parts";
  const std::string paused = TextOf(recording, "paused");
  if (!paused.empty()) text += "\npaused, frames are lost: " + paused;
  const std::string trouble = TextOf(recording, "trouble");
  if (!trouble.empty()) text += "\na file was lost: " + trouble;
  const std::string problem = TextOf(recording, "problem");
  return problem.empty() ? text : text + "\nended early: " + problem;
}

}  // namespace proofdrive::tools
