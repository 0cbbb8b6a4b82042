#include "web/access/token.h"

#include <sys/random.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cerrno>
#include <cstdint>

#include "core/base/text.h"
#include "core/secrets/secret_file.h"

namespace proofdrive::web {
namespace {

// 32 characters, none of which looks like another.
constexpr char kAlphabet[] = "abcdefghjkmnpqrstuvwxyz234567890";
constexpr std::size_t kGroups = 5;
constexpr std::size_t kGroupSize = 4;
constexpr char kWhat[] = "token file";

Result<std::string> ReadToken(const std::string& path) {
  ASSIGN_OR_RETURN(const std::string line, ReadSecretLine(path, kWhat, kLongestToken + 64));
  std::string token(Trim(line));
  const bool good = token.size() >= kShortestToken && token.size() <= kLongestToken &&
                    std::all_of(token.begin(), token.end(), [](unsigned char c) {
                      return std::isalnum(c) != 0 || c == '-' || c == '_';
                    });
  if (good) return token;
  return Status(ErrorKind::kInvalidArgument,
                "token file " + path + " must hold " + std::to_string(kShortestToken) + " to " +
                    std::to_string(kLongestToken) +
                    " letters, digits, \"-\" and \"_\"; remove it and a new one is made");
}

}  // namespace

Result<std::string> RandomToken() {
  std::array<std::uint8_t, kGroups * kGroupSize> bytes{};
  if (::getrandom(bytes.data(), bytes.size(), 0) != static_cast<ssize_t>(bytes.size())) {
    return Status::FromErrno(errno, "random numbers for a token");
  }
  std::string token;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    if (i != 0 && i % kGroupSize == 0) token += '-';
    token += kAlphabet[bytes[i] % 32];
  }
  return token;
}

Result<std::string> ReadOrMakeToken(const std::string& path) {
  ASSIGN_OR_RETURN(const std::string token, RandomToken());
  const Status made = MakeSecretFile(path, kWhat, token + "\n");
  if (made.ok()) return token;
  if (made.kind() != ErrorKind::kAlreadyExists) return made;
  return ReadToken(path);
}

}  // namespace proofdrive::web
