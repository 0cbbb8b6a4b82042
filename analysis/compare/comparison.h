// Two sessions of one vehicle side by side: what a repair changed.
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/compare/code_verdicts.h"
#include "analysis/compare/control_units.h"
#include "analysis/compare/definition_changes.h"
#include "analysis/compare/signals.h"
#include "analysis/compare/traffic.h"
#include "analysis/figures/figure_comparison.h"
#include "analysis/findings/session_findings.h"
#include "analysis/verdicts/evidence.h"
#include "analysis/verdicts/judged.h"
#include "analysis/verdicts/verdict.h"

namespace proofdrive::analysis {

struct WarningVerdict : Judged {
  WarningEvidence before;
  WarningEvidence after;
  // A frame of its condition or proof whose counter was right before and is wrong in most frames
  // after: what it sends may be old, or is somewhere else now; or one that comes with both of its
  // identifiers. Then nothing is "cleared". Empty: none, or the verdict does not depend on it.
  std::string frozen;
};

// One check on both sides.
struct CheckPair {
  std::string name;
  std::string title;
  CheckResult before;
  CheckResult after;
  std::vector<FigureComparison> figures;  // that both have

  // In neither session.
  bool CannotTell() const {
    return before.status == CheckStatus::kCannotTell && after.status == CheckStatus::kCannotTell;
  }
};

struct Comparison {
  SessionFindings before;
  SessionFindings after;
  // What is open, then what is not proven, then what is cleared, then what was off in both; in each
  // stop before soon before note, then by verdict (kAllVerdicts), then by definition.
  std::vector<WarningVerdict> warnings;
  std::vector<CodeVerdict> codes;  // the same order
  std::vector<UnitComparison> units;
  TrafficComparison traffic;
  std::vector<DefinitionChange> definitions;  // that no longer hold
  std::vector<SignalComparison> signals;      // in order of definition
  std::vector<CheckPair> checks;  // empty unless PairChecks was called; in their own order

  // Warnings and codes together, in the order of `warnings`; warnings before codes. They point into
  // this object.
  std::vector<const Judged*> InOrder() const;
  // "All 14 definitions these verdicts use are guesses: ..."; empty when that is not so.
  std::string AllGuessesSentence() const;
  // Verdicts with a proviso.
  std::size_t VerdictsWithProviso() const;
  std::size_t Count(Verdict verdict) const;
  bool AnyOpen() const;
  bool AnyUnproven() const;
};

// REQUIRES: both findings were made with the same definitions (or none). `not_judged`: warnings the
// before-session knows but those definitions lack; they get the verdict "no evidence".
Comparison Compare(SessionFindings before, SessionFindings after,
                   const std::vector<decoders::Warning>& not_judged = {});

// The results of RunChecks on both sessions, side by side, their figures at equal `conditions`; a
// check that only one of them has is left out.
std::vector<CheckPair> PairChecks(const std::vector<CheckResult>& before,
                                  const std::vector<CheckResult>& after,
                                  const Conditions& conditions);

}  // namespace proofdrive::analysis
