// The checks of one recording in its report: every answer, what the open ones rest on, plots.
#pragma once

#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/findings/coverage.h"
#include "output/report/charts.h"
#include "output/report/page.h"
#include "output/sheet/html.h"

namespace proofdrive::output {

// The headline of the checks with a link to them; nothing without results, or where the definitions
// describe nothing of the recording.
Html CheckLine(const std::vector<analysis::CheckResult>& results,
               const analysis::Coverage& coverage = {});

// Nothing without results. When no check found a signal it needs, one sentence and what is missing.
Section CheckSection(const std::vector<analysis::CheckResult>& results, Charts& charts);

}  // namespace proofdrive::output
