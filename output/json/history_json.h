// The document of `history --json` (docs/verdicts.md).
#pragma once

#include <string>

#include "analysis/history/check_history.h"
#include "analysis/history/history.h"

namespace proofdrive::output {

// Indented, ending in a newline; the same history gives the same text.
std::string HistoryJson(const analysis::History& history, const analysis::CheckHistory& checks);

}  // namespace proofdrive::output
