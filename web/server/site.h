// Everything a program answers over HTTP: its files and its requests, behind the gate.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string_view>
#include <utility>
#include <vector>

#include "web/access/gate.h"
#include "web/assets.h"
#include "web/request.h"
#include "web/route.h"

namespace proofdrive::web {

// Sent with every answer: nobody may frame the page, nothing is loaded from elsewhere, no inline
// scripts or styles (Content Security Policy Level 3), nothing is told to others.
std::span<const std::pair<std::string_view, std::string_view>> ProtectingFields();

// On the web thread.
class Site {
 public:
  // Adds to `routes` what is answered here: signing in and out where a token is needed, and the
  // WebSocket.
  Site(std::vector<Route> routes, Assets assets, GateRules rules);
  Site(const Site&) = delete;
  Site& operator=(const Site&) = delete;

  // Calls `reply` exactly once: at once, or later from another thread.
  void Handle(const Request& request, Reply reply) const;
  // A request to change to WebSocket: the refusal, or nullopt when it may be done.
  std::optional<Response> RefuseLive(const Request& request) const;

 private:
  Response SignIn(const std::string& body) const;
  // The row for the request, or why there is none.
  const Route* Find(const std::string& method, std::string_view path, Response& refusal) const;

  std::vector<Route> routes_;
  const Assets assets_;
  const Gate gate_;
};

}  // namespace proofdrive::web
