// One row of the table of requests a program answers beside its files.
#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "web/request.h"

namespace proofdrive::web {

// A request that was let in; valid during the call only.
struct Call {
  std::string_view query;  // after the question mark
  const std::string& body;
  bool owner = false;  // it came over the Unix socket, which only this user may open
};

// To be called exactly once: at once or later, on any thread.
using Reply = std::function<void(Response)>;

struct Route {
  std::string method;                                         // "GET", "POST"
  std::string path;                                           // "/api/status"
  std::function<void(const Call& call, Reply reply)> handle;  // on the web thread
};

}  // namespace proofdrive::web
