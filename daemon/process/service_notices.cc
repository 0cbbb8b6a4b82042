#include "daemon/process/service_notices.h"

#include <systemd/sd-daemon.h>

namespace proofdrive::daemon {
namespace {

// A status is one line.
std::string Line(std::string text) {
  for (char& letter : text) letter = letter == '\n' ? ' ' : letter;
  return text;
}

void Tell(const std::string& state) { ::sd_notify(0, state.c_str()); }

}  // namespace

void ServiceNotices::Ready(const std::string& status) const {
  Tell("READY=1\nSTATUS=" + Line(status));
}

void ServiceNotices::Alive(const std::string& status) const {
  Tell("WATCHDOG=1\nSTATUS=" + Line(status));
}

void ServiceNotices::Stopping() const { Tell("STOPPING=1\nSTATUS=completing the recording"); }

std::optional<Duration> ServiceNotices::watchdog() const {
  std::uint64_t microseconds = 0;
  if (::sd_watchdog_enabled(0, &microseconds) <= 0) return std::nullopt;
  return std::chrono::microseconds(microseconds);
}

}  // namespace proofdrive::daemon
