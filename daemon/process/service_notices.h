// Tells the service manager (systemd) how the daemon is; sd_notify(3). The only user of libsystemd.
#pragma once

#include <optional>
#include <string>

#include "core/base/time.h"

namespace proofdrive::daemon {

// Without a service manager ($NOTIFY_SOCKET) every call does nothing. One thread.
class ServiceNotices {
 public:
  // Everything works; `status` is one line for people.
  void Ready(const std::string& status) const;
  // Still alive, so the watchdog need not end us. To be called only while frames are handled.
  void Alive(const std::string& status) const;
  // Shutting down in good order.
  void Stopping() const;

  // The service manager ends a daemon that is not Alive for so long; nullopt: there is no watchdog.
  std::optional<Duration> watchdog() const;
};

}  // namespace proofdrive::daemon
