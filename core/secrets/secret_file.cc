#include "core/secrets/secret_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>

#include "core/base/descriptor.h"

namespace proofdrive {
namespace {

Status CheckFile(int file, const std::string& name, const std::string& path) {
  struct stat info {};
  if (::fstat(file, &info) != 0) return Status::FromErrno(errno, name);
  if (!S_ISREG(info.st_mode)) {
    return Status(ErrorKind::kInvalidArgument, name + " is no regular file: give one");
  }
  if ((info.st_mode & (S_IRWXG | S_IRWXO)) == 0) return Status::Ok();
  return Status(ErrorKind::kPermission,
                name + " is open to other users of this machine: chmod 600 " + path);
}

}  // namespace

Result<std::string> ReadSecretLine(const std::string& path, const std::string& what,
                                   std::size_t most) {
  const std::string name = what + " " + path;
  // O_NONBLOCK: opening a pipe that nobody writes to would wait for ever.
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY));
  if (file.get() < 0) return Status::FromErrno(errno, name);
  RETURN_IF_ERROR(CheckFile(file.get(), name, path));
  std::string text(most, '\0');
  const ssize_t got = ::read(file.get(), text.data(), text.size());
  if (got < 0) return Status::FromErrno(errno, name);
  text.resize(static_cast<std::size_t>(got));
  return text.substr(0, text.find('\n'));
}

Status MakeSecretFile(const std::string& path, const std::string& what, std::string_view text) {
  const std::string name = what + " " + path;
  const Descriptor file(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600));
  if (file.get() < 0) return Status::FromErrno(errno, name);
  const ssize_t written = ::write(file.get(), text.data(), text.size());
  if (written == static_cast<ssize_t>(text.size())) return Status::Ok();
  return Status::FromErrno(written < 0 ? errno : ENOSPC, name);
}

}  // namespace proofdrive
