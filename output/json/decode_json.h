// The document of `decode --json`.
#pragma once

#include <string>

#include "output/text/signal_summary.h"

namespace proofdrive::output {

std::string SummaryJson(const SessionSummary& summary);

}  // namespace proofdrive::output
