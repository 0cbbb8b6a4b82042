#include "core/base/control_socket.h"

#include <gmock/gmock.h>
#include <unistd.h>

#include <cstdlib>

#include "tests/support/matchers.h"

namespace proofdrive {
namespace {

using testing::IsError;
using testing::IsOk;

TEST(ControlSocketTest, DefaultFollowsTheRuntimeFolder) {
  const char* before = std::getenv("XDG_RUNTIME_DIR");
  const std::string kept = before == nullptr ? "" : before;
  ::setenv("XDG_RUNTIME_DIR", "/run/user/1000", 1);
  EXPECT_EQ(DefaultControlSocket(), "/run/user/1000/proofdrive.sock");
  const std::string fallback = "/tmp/proofdrive-" + std::to_string(::getuid()) + ".sock";
  // A relative path is invalid and to be ignored (XDG Base Directory Specification).
  ::setenv("XDG_RUNTIME_DIR", "run", 1);
  EXPECT_EQ(DefaultControlSocket(), fallback);
  ::unsetenv("XDG_RUNTIME_DIR");
  EXPECT_EQ(DefaultControlSocket(), fallback);
  if (before != nullptr) ::setenv("XDG_RUNTIME_DIR", kept.c_str(), 1);
}

TEST(ControlSocketTest, PathHasALimit) {
  EXPECT_OK(CheckControlSocketPath(std::string(107, 'x')));
  EXPECT_THAT(CheckControlSocketPath(""),
              IsError(ErrorKind::kInvalidArgument, "the path of the socket is empty"));
  const std::string path(108, 'x');
  EXPECT_THAT(CheckControlSocketPath(path),
              IsError(ErrorKind::kInvalidArgument,
                      path + ": a socket's path has at most 107 characters; choose a shorter one"));
}

}  // namespace
}  // namespace proofdrive
