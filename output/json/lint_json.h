// Results as JSON text, with the keys always in the same order. For decode and
// lint; the library behind it is not seen here.
#pragma once

#include <string>
#include <vector>

#include "analysis/fit/measure.h"
#include "decoders/authoring/diagnostics.h"
#include "output/text/signal_summary.h"

namespace proofdrive::output {

// The document of `decode --json`.
std::string SummaryJson(const SessionSummary& summary);

// The document of `lint --json`. `definitions` is null when there are errors; `fit` is null unless
// they were held against a session.
std::string LintJson(const decoders::Definitions* definitions,
                     const std::vector<decoders::Diagnostic>& diagnostics,
                     const analysis::SessionFit* fit = nullptr);

}  // namespace proofdrive::output
