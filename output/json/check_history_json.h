// The checks of many sessions as JSON.
#pragma once

#include "analysis/history/check_history.h"
#include "output/json/json_parts.h"

namespace proofdrive::output {

// {"checks": [...], "figures": [...], "standby": {...} or null}
Json CheckHistoryJson(const analysis::CheckHistory& history);

}  // namespace proofdrive::output
