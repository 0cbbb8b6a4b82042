#include "core/base/control_socket.h"

#include <sys/un.h>
#include <unistd.h>

#include <cstdlib>

namespace proofdrive {

std::string DefaultControlSocket() {
  const char* folder = std::getenv("XDG_RUNTIME_DIR");
  if (folder != nullptr && folder[0] == '/') return std::string(folder) + "/proofdrive.sock";
  return "/tmp/proofdrive-" + std::to_string(::getuid()) + ".sock";
}

Status CheckControlSocketPath(const std::string& path) {
  constexpr std::size_t kLongest = sizeof(sockaddr_un{}.sun_path) - 1;
  if (path.empty()) return Status(ErrorKind::kInvalidArgument, "the path of the socket is empty");
  if (path.size() <= kLongest) return Status::Ok();
  return Status(ErrorKind::kInvalidArgument, path + ": a socket's path has at most " +
                                                 std::to_string(kLongest) +
                                                 " characters; choose a shorter one");
}

}  // namespace proofdrive
