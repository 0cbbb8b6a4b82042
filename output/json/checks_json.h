// Check results as JSON text, keys always in the same order (docs/checks.md).
#pragma once

#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/findings/coverage.h"

namespace proofdrive::output {

// The document of `check --json`, indented, ending in a newline.
std::string ChecksJson(const std::vector<analysis::CheckResult>& results,
                       const analysis::Coverage& coverage = {});

}  // namespace proofdrive::output
