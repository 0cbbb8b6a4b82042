// Where the live page is offered: the words of --page.
#pragma once

#include <cstdint>
#include <string>

#include "core/base/result.h"

namespace proofdrive::web {

struct ListenAddress {
  std::string address;     // an IP address: "127.0.0.1", "::"
  std::uint16_t port = 0;  // 0: any that is free
  bool loopback = true;    // nobody but this machine can reach it

  // "127.0.0.1:8642", "[::1]:8642".
  std::string Text() const;
};

// Reads "8642" (loopback), "localhost:8642", "192.168.7.2:8642", "0.0.0.0:8642" or "[::1]:8642".
Result<ListenAddress> ParseListenAddress(const std::string& text);

}  // namespace proofdrive::web
