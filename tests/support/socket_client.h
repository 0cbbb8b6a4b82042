// Speaks to a Unix socket byte by byte.
#pragma once

#include <gtest/gtest.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <cstddef>
#include <string>

namespace proofdrive::testing {

inline sockaddr_un SocketAddress(const std::string& path) {
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  path.copy(address.sun_path, sizeof(address.sun_path) - 1);
  return address;
}

// A descriptor that waits 20 s at most for what it reads; the caller closes it.
inline int ConnectTo(const std::string& path) {
  const sockaddr_un address = SocketAddress(path);
  const int descriptor = ::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
  EXPECT_EQ(::connect(descriptor, reinterpret_cast<const sockaddr*>(&address), sizeof(address)), 0);
  const timeval patience{20, 0};
  ::setsockopt(descriptor, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof(patience));
  return descriptor;
}

// Sends the bytes and reads until the other side closes.
inline std::string SayTo(const std::string& path, const std::string& bytes) {
  const int descriptor = ConnectTo(path);
  EXPECT_GE(::send(descriptor, bytes.data(), bytes.size(), MSG_NOSIGNAL), 0);
  ::shutdown(descriptor, SHUT_WR);
  std::string answer;
  char part[4096];
  for (ssize_t got = 1; got > 0;) {
    got = ::recv(descriptor, part, sizeof(part), 0);
    if (got > 0) answer.append(part, static_cast<std::size_t>(got));
  }
  ::close(descriptor);
  return answer;
}

// The answer to one request, head and body.
inline std::string AskOver(const std::string& path, const std::string& method,
                           const std::string& target, const std::string& body = "") {
  return SayTo(path, method + " " + target + " HTTP/1.1\r\nHost: x\r\nConnection: close" +
                         "\r\nContent-Length: " + std::to_string(body.size()) + "\r\n\r\n" + body);
}

}  // namespace proofdrive::testing
