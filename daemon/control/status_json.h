// The daemon's snapshot as JSON; docs/api.md describes every key.
#pragma once

#include <nlohmann/json.hpp>

#include "daemon/snapshot.h"

namespace proofdrive::daemon {

nlohmann::json StatusJson(const Snapshot& snapshot);
nlohmann::json RecordingJson(const RecordingInfo& recording);

}  // namespace proofdrive::daemon
