// The daemon's snapshot as JSON; docs/api.md describes every key.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "daemon/live/snapshot.h"

namespace proofdrive::daemon {

nlohmann::json StatusJson(const Snapshot& snapshot);
nlohmann::json RecordingJson(const RecordingInfo& recording);
// What is wrong and what to do, the most urgent first.
nlohmann::json ProblemsJson(const Snapshot& snapshot);
// Null when the channel is not an adapter.
nlohmann::json AdapterJson(const std::optional<ChannelCondition>& condition);

}  // namespace proofdrive::daemon
