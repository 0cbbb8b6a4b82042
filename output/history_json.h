// The document of `history --json` (docs/verdicts.md).
#pragma once

#include <string>

#include "analysis/history/history.h"

namespace proofdrive::output {

// Indented, ending in a newline; the same history gives the same text.
std::string HistoryJson(const analysis::History& history);

}  // namespace proofdrive::output
