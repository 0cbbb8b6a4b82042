// A check and a warning about the same quantity must not say opposite things.
#pragma once

#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/findings/session_findings.h"

namespace proofdrive::analysis {

// A check that is within limits asks to look closer when a warning was on whose condition reads a
// signal with a role that the check needs; its first sentence names the warning. Others get a
// finding.
void HoldAgainstWarnings(const SessionFindings& findings, std::vector<CheckResult>& results);

}  // namespace proofdrive::analysis
