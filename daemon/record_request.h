// What somebody asks for when a recording is to begin: by option or by the control socket.
#pragma once

#include <optional>
#include <string>

#include "core/base/result.h"
#include "core/frame/time.h"
#include "session/header.h"

namespace proofdrive::daemon {

struct RecordRequest {
  std::string name;  // of the session; empty: the daemon makes one from the date
  session::Stage stage = session::Stage::kUnspecified;
  std::string notes;
  std::optional<Duration> length;  // source time; nullopt = until stopped
};

// A session name becomes a file name: letters, digits, ".", "-" and "_", not starting with "." or
// "-", at most 100 characters. kInvalidArgument says so.
Status CheckSessionName(const std::string& name);

}  // namespace proofdrive::daemon
