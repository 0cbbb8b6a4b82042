#include "daemon/record_request.h"

#include <algorithm>
#include <cctype>

namespace proofdrive::daemon {
namespace {

constexpr std::size_t kLongestName = 100;

bool IsNameCharacter(char c) {
  return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '.' || c == '-' || c == '_';
}

}  // namespace

Status CheckSessionName(const std::string& name) {
  const bool good = !name.empty() && name.size() <= kLongestName && name[0] != '.' &&
                    name[0] != '-' && std::all_of(name.begin(), name.end(), IsNameCharacter);
  if (good) return Status::Ok();
  return Status(ErrorKind::kInvalidArgument,
                "\"" + name + "\" cannot name a session: use up to " +
                    std::to_string(kLongestName) +
                    " letters, digits, \".\", \"-\" and \"_\", beginning with a letter or digit");
}

}  // namespace proofdrive::daemon
