#include "analysis/compare/comparison.h"

#include <algorithm>
#include <tuple>
#include <utility>

#include "analysis/compare/reasons.h"
#include "analysis/compare/verdicts.h"

namespace proofdrive::analysis {
namespace {

WarningVerdict JudgeWarning(const decoders::Warning& warning, WarningEvidence before,
                            WarningEvidence after) {
  WarningVerdict result;
  result.name = warning.name;
  result.text = warning.text;
  result.severity = warning.severity;
  result.before = std::move(before);
  result.after = std::move(after);
  result.verdict = Judge(result.before, result.after);
  result.why = ReasonFor(result.verdict, warning, result.before, result.after);
  return result;
}

// Smaller is more important.
auto Rank(const WarningVerdict& warning) {
  return std::tuple(static_cast<int>(warning.verdict), -static_cast<int>(warning.severity));
}

}  // namespace

std::size_t Comparison::Count(Verdict verdict) const {
  return static_cast<std::size_t>(
      std::count_if(warnings.begin(), warnings.end(),
                    [&](const WarningVerdict& warning) { return warning.verdict == verdict; }));
}

bool Comparison::AnyOpen() const {
  return std::any_of(warnings.begin(), warnings.end(),
                     [](const WarningVerdict& warning) { return IsOpen(warning.verdict); });
}

bool Comparison::AnyUnproven() const {
  return std::any_of(warnings.begin(), warnings.end(),
                     [](const WarningVerdict& warning) { return IsUnproven(warning.verdict); });
}

Comparison Compare(SessionFindings before, SessionFindings after,
                   const std::vector<decoders::Warning>& not_judged) {
  Comparison comparison;
  comparison.before = std::move(before);
  comparison.after = std::move(after);
  comparison.traffic = CompareTraffic(comparison.before, comparison.after);
  if (comparison.after.definitions == nullptr) return comparison;
  const std::vector<decoders::Warning>& warnings = comparison.after.definitions->warnings;
  for (std::size_t i = 0; i < warnings.size(); ++i) {
    comparison.warnings.push_back(JudgeWarning(warnings[i], EvidenceOf(comparison.before, i),
                                               EvidenceOf(comparison.after, i)));
  }
  for (const decoders::Warning& warning : not_judged) {
    comparison.warnings.push_back(JudgeWarning(warning, NotDefined(), NotDefined()));
  }
  std::stable_sort(comparison.warnings.begin(), comparison.warnings.end(),
                   [](const auto& a, const auto& b) { return Rank(a) < Rank(b); });
  return comparison;
}

}  // namespace proofdrive::analysis
