// Verdicts on the trouble codes of control units, from what the units told when somebody asked.
#pragma once

#include <string>
#include <vector>

#include "analysis/compare/code_evidence.h"
#include "analysis/findings/session_findings.h"
#include "analysis/verdicts/judged.h"

namespace proofdrive::analysis {

struct CodeVerdict : Judged {
  decoders::TroubleCode code;
  CodeEvidence before;
  CodeEvidence after;
};

// Every code that was set in either session, and every other one that the unit told about in both.
// A code that nobody ever saw set and that one session alone tells about is left out: there is
// nothing to compare. In order of units and codes.
std::vector<CodeVerdict> JudgeCodes(const SessionFindings& before, const SessionFindings& after);

// "confirmed, failed at its last test (status 2F)", "in the list of pending codes", "in no list".
std::string CodeStateText(const CodeEvidence& evidence);

// One sentence as ReasonFor gives it. REQUIRES: verdict is that of the evidence.
std::string CodeReason(Verdict verdict, const CodeEvidence& before, const CodeEvidence& after);

// What must be done on the next recording for this code to be judged; a sentence without its full
// stop.
std::string CodeObstacle(const CodeEvidence& after);

}  // namespace proofdrive::analysis
