// From what two sessions show about a warning to a verdict. Pure functions; docs/verdicts.md has
// the table of every combination and the reasons for each choice.
#pragma once

#include "analysis/compare/evidence.h"
#include "analysis/compare/verdict.h"

namespace proofdrive::analysis {

// Never kCleared for a warning that was merely not seen: it takes the warning set before, off and
// known at the end of the after-session, and its `proven by` met there.
Verdict Judge(const WarningEvidence& before, const WarningEvidence& after);

}  // namespace proofdrive::analysis
