// What the daemon asked for us, put together as if it had been read from a session.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "analysis/asking/asked.h"

namespace proofdrive::tools {

// Reads the document of /api/codes and /api/identify (docs/asking.md). kCorrupt when it makes no
// sense. `problem` receives why the daemon ended early; empty: it did not.
Result<analysis::AskedUnits> ReadAsked(const nlohmann::json& json, std::string& problem);

}  // namespace proofdrive::tools
