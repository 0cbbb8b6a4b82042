// The report of one recording: what was on and when, the trip in figures, buses and gaps, plots.
#pragma once

#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "output/report/recordings.h"
#include "session/beside/measurements.h"

namespace proofdrive::output {

struct SessionReportInput {
  const analysis::SessionFindings& findings;
  SessionFile file;
  std::string software;                // "proofdrive 0.1.0"
  std::vector<std::uint32_t> signals;  // to plot; empty = those of warnings and with a role
  std::vector<analysis::CheckResult> checks = {};   // empty = none made
  std::vector<session::Measurement> measured = {};  // by hand
};

// "3 of 14 warnings were on, 2 of them at the end." One sentence.
std::string SessionHeadline(const analysis::SessionFindings& findings);

// The same input gives the same text. Plots need findings with curves of kCurvePoints.
std::string SessionReport(const SessionReportInput& input);

}  // namespace proofdrive::output
