#include "web/access/token.h"

#include <fcntl.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cerrno>
#include <cstdint>

#include "core/base/text.h"

namespace proofdrive::web {
namespace {

// 32 characters, none of which looks like another.
constexpr char kAlphabet[] = "abcdefghjkmnpqrstuvwxyz234567890";
constexpr std::size_t kGroups = 5;
constexpr std::size_t kGroupSize = 4;

class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  ~Descriptor() {
    if (number_ >= 0) ::close(number_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int number() const { return number_; }

 private:
  const int number_;
};

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

Result<std::string> MakeTokenFile(int file, const std::string& path) {
  ASSIGN_OR_RETURN(const std::string token, RandomToken());
  const std::string line = token + "\n";
  if (::write(file, line.data(), line.size()) != static_cast<ssize_t>(line.size())) {
    return Status::FromErrno(errno, "token file " + path);
  }
  return token;
}

Status CheckOwner(int file, const std::string& path) {
  struct stat info {};
  if (::fstat(file, &info) != 0) return Status::FromErrno(errno, "token file " + path);
  if ((info.st_mode & (S_IRWXG | S_IRWXO)) == 0) return Status::Ok();
  return Status(
      ErrorKind::kPermission,
      "token file " + path + " is open to other users of this machine: chmod 600 " + path);
}

Result<std::string> ReadToken(int file, const std::string& path) {
  RETURN_IF_ERROR(CheckOwner(file, path));
  std::array<char, kLongestToken + 64> text{};
  const ssize_t got = ::read(file, text.data(), text.size());
  if (got < 0) return Status::FromErrno(errno, "token file " + path);
  const std::string all(text.data(), static_cast<std::size_t>(got));
  std::string token(Trim(all.substr(0, all.find('\n'))));
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

Result<std::string> ReadOrMakeToken(const std::string& path) {
  const Descriptor made(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600));
  if (made.number() >= 0) return MakeTokenFile(made.number(), path);
  const int why = errno;
  if (why != EEXIST) return Status::FromErrno(why, "token file " + path);
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (file.number() < 0) return Status::FromErrno(errno, "token file " + path);
  return ReadToken(file.number(), path);
}

}  // namespace proofdrive::web
