// HTTP/1.1 over a Unix socket that only this user may open.
#pragma once

#include <memory>
#include <string>

#include "core/base/log.h"
#include "core/base/result.h"
#include "daemon/control/api.h"

namespace proofdrive::daemon {

// Created, started and stopped by one thread; works on one thread of its own.
class ControlServer {
 public:
  static constexpr std::size_t kHeaderLimit = 8 * 1024;  // bytes of a request's head
  static constexpr std::size_t kBodyLimit = 64 * 1024;   // bytes of a request's body
  static constexpr std::size_t kConnectionLimit = 32;    // at a time

  // Binds `path` with mode 0600. A socket file that nobody answers on is replaced; kBusy when a
  // daemon answers there, kAlreadyExists when it is some other file. `log` must outlive the server.
  static Result<std::unique_ptr<ControlServer>> Create(const std::string& path, ControlApi api,
                                                       Log& log);
  virtual ~ControlServer() = default;  // stops

  virtual void Start() = 0;
  // Removes the socket file and ends every connection. Safe to call twice.
  virtual void Stop() = 0;
};

}  // namespace proofdrive::daemon
