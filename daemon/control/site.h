// Everything the daemon answers over HTTP: the files of the live page and the control requests,
// behind the gate.
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string_view>
#include <utility>

#include "daemon/control/api.h"
#include "daemon/control/gate.h"
#include "daemon/control/web_request.h"

namespace proofdrive::daemon {

// Sent with every answer: nobody may frame the page, nothing is loaded from elsewhere, no inline
// scripts or styles (Content Security Policy Level 3), nothing is told to others.
std::span<const std::pair<std::string_view, std::string_view>> ProtectingFields();

// On the web thread.
class Site {
 public:
  using Reply = std::function<void(WebResponse)>;

  Site(ControlApi api, GateRules rules) : api_(api), gate_(std::move(rules)) {}

  // Calls `reply` exactly once: at once, or later from the writing thread.
  void Handle(const WebRequest& request, Reply reply) const;
  // A request to change to WebSocket: the refusal, or nullopt when it may be done.
  std::optional<WebResponse> RefuseLive(const WebRequest& request) const;

 private:
  WebResponse SignIn(const WebRequest& request) const;

  const ControlApi api_;
  const Gate gate_;
};

}  // namespace proofdrive::daemon
