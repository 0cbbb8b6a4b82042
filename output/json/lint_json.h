// The document of `lint --json`.
#pragma once

#include <string>
#include <vector>

#include "analysis/fit/measure.h"
#include "decoders/authoring/diagnostics.h"

namespace proofdrive::output {

// `definitions` is null when there are errors; `fit` is null unless they were held against a
// session.
std::string LintJson(const decoders::Definitions* definitions,
                     const std::vector<decoders::Diagnostic>& diagnostics,
                     const analysis::SessionFit* fit = nullptr);

}  // namespace proofdrive::output
