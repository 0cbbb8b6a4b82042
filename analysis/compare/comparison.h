// Two sessions of one vehicle side by side: what a repair changed.
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include "analysis/compare/evidence.h"
#include "analysis/compare/traffic.h"
#include "analysis/compare/verdict.h"
#include "analysis/session_findings.h"

namespace proofdrive::analysis {

struct WarningVerdict {
  std::string name;
  std::string text;
  decoders::WarningSeverity severity = decoders::WarningSeverity::kNote;
  Verdict verdict = Verdict::kNoEvidence;
  std::string why;
  WarningEvidence before;
  WarningEvidence after;
};

struct Comparison {
  SessionFindings before;
  SessionFindings after;
  // Ordered by verdict (kAllVerdicts), then stop before soon before note, then by definition.
  std::vector<WarningVerdict> warnings;
  TrafficComparison traffic;

  std::size_t Count(Verdict verdict) const;
  bool AnyOpen() const;
  bool AnyUnproven() const;
};

// REQUIRES: both findings were made with the same definitions (or none). `not_judged`: warnings the
// before-session knows but those definitions lack; they get the verdict "no evidence".
Comparison Compare(SessionFindings before, SessionFindings after,
                   const std::vector<decoders::Warning>& not_judged = {});

}  // namespace proofdrive::analysis
