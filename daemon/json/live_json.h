// The two messages of the live page as JSON; docs/api.md describes every key.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <vector>

#include "daemon/live/snapshot.h"

namespace proofdrive::daemon {

// The last time a warning was on and went off; times of 0: it never did.
struct WarningPast {
  WallTime from;
  WallTime to;
};

// What does not change while the daemon runs: signals, warnings, channels.
nlohmann::json VehicleJson(const Snapshot& snapshot);
// What is so now. `past` has one entry per warning.
nlohmann::json NowJson(const Snapshot& snapshot, const std::vector<WarningPast>& past);

}  // namespace proofdrive::daemon
