// Verdicts explained: one plain sentence with the numbers that led to it.
#pragma once

#include <string>

#include "analysis/verdicts/evidence.h"
#include "analysis/verdicts/verdict.h"
#include "decoders/model/definitions.h"

namespace proofdrive::analysis {

// Without capital letter and full stop, so that it can stand in a table or after a colon.
// REQUIRES: verdict == Judge(before, after).
std::string ReasonFor(Verdict verdict, const decoders::Warning& warning,
                      const WarningEvidence& before, const WarningEvidence& after);

}  // namespace proofdrive::analysis
