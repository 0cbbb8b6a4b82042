// The web thread: HTTP/1.1 and WebSocket over a Unix socket that only this user may open, and, when
// asked for, over TCP for browsers.
#pragma once

#include <chrono>
#include <memory>
#include <optional>

#include "core/base/log.h"
#include "core/base/result.h"
#include "web/access/listen_address.h"
#include "web/server/server_setup.h"

namespace proofdrive::web {

// Created, started and stopped by one thread; works on one thread of its own.
class Server {
 public:
  // Connections at a time.
  static constexpr std::size_t kConnectionLimit = 32;         // of the Unix socket
  static constexpr std::size_t kPageConnectionLimit = 256;    // of the page
  static constexpr std::size_t kAddressConnectionLimit = 64;  // of the page, from one address
  // How often the page is told what is so.
  static constexpr auto kTellTime = std::chrono::milliseconds(100);

  // Binds the socket with mode 0600. A socket file that nobody answers on is replaced; kBusy when a
  // daemon answers there, kAlreadyExists when it is some other file. `log` must outlive the server.
  // REQUIRES: a page has a token.
  static Result<std::unique_ptr<Server>> Create(const ServerSetup& setup, Log& log);
  virtual ~Server() = default;  // stops

  virtual void Start() = 0;
  // Removes the socket file and ends every connection. Safe to call twice.
  virtual void Stop() = 0;
  // Where the page is, with the port that was really taken; nullopt without one.
  virtual std::optional<ListenAddress> page() const = 0;
};

}  // namespace proofdrive::web
