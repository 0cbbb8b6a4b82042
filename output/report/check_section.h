// The checks of one recording in its report: every answer, what the open ones rest on, plots.
#pragma once

#include <vector>

#include "analysis/checking/check_result.h"
#include "output/report/charts.h"
#include "output/sheet/html.h"

namespace proofdrive::output {

// The headline of the checks with a link to them; nothing without results.
Html CheckLine(const std::vector<analysis::CheckResult>& results);

// Nothing without results. When no check found a signal it needs, one sentence and what is missing.
Html CheckSection(const std::vector<analysis::CheckResult>& results, Charts& charts);

}  // namespace proofdrive::output
