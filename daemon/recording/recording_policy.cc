#include "daemon/recording/recording_policy.h"

#include <algorithm>
#include <cctype>

#include "session/model/names.h"
#include "session/model/parts.h"

namespace proofdrive::daemon {
namespace {

constexpr std::size_t kLongestName = 100;

bool IsNameCharacter(char c) {
  return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '.' || c == '-' || c == '_';
}

struct WhenName {
  RecordWhen when;
  std::string_view name;
};
constexpr WhenName kWhenNames[] = {
    {RecordWhen::kAsked, "asked"},
    {RecordWhen::kStart, "start"},
    {RecordWhen::kTraffic, "traffic"},
    {RecordWhen::kWarning, "warning"},
};

}  // namespace

std::string_view RecordWhenName(RecordWhen when) {
  for (const WhenName& row : kWhenNames) {
    if (row.when == when) return row.name;
  }
  return "";
}

Result<RecordWhen> ParseRecordWhen(std::string_view text) {
  for (const WhenName& row : kWhenNames) {
    if (row.name == text) return row.when;
  }
  return Status(
      ErrorKind::kInvalidArgument,
      "\"" + std::string(text) + "\" is no cause: write asked, start, traffic or warning");
}

Result<std::string> ParseSessionName(const std::string& text) {
  const std::string name = session::WithoutSessionEnding(text);
  RETURN_IF_ERROR(CheckSessionName(name));
  return name;
}

Status CheckSessionName(const std::string& name) {
  const bool good = !name.empty() && name.size() <= kLongestName && name[0] != '.' &&
                    name[0] != '-' && std::all_of(name.begin(), name.end(), IsNameCharacter);
  const std::string file = name + std::string(session::kSessionEnding);
  if (good && session::FirstPartPath(file) != file) {
    return Status(
        ErrorKind::kInvalidArgument,
        "\"" + name + "\" is kept for the parts of a long recording: choose another name");
  }
  if (good) return Status::Ok();
  return Status(ErrorKind::kInvalidArgument,
                "\"" + name + "\" cannot name a session: use up to " +
                    std::to_string(kLongestName) +
                    " letters, digits, \".\", \"-\" and \"_\", beginning with a letter or digit");
}

}  // namespace proofdrive::daemon
