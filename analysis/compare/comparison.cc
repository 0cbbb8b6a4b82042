#include "analysis/compare/comparison.h"

#include <algorithm>
#include <tuple>
#include <utility>

#include "analysis/session/warning_sources.h"
#include "analysis/verdicts/reasons.h"
#include "analysis/verdicts/verdict.h"

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

// Frames that repeat old data look like a warning that stays off.
void DoubtFrozenFrames(const std::vector<DefinitionChange>& changes,
                       const decoders::Definitions& definitions, const decoders::Warning& warning,
                       WarningVerdict& verdict) {
  if (verdict.verdict != Verdict::kCleared) return;
  std::vector<std::uint32_t> frames = FramesOf(definitions, warning);
  if (warning.proven_by) {
    const auto proof = FramesIn(definitions, warning.proven_by->condition.text);
    frames.insert(frames.end(), proof.begin(), proof.end());
  }
  for (const DefinitionChange& change : changes) {
    const bool counter = change.what == kCounterFails;
    if (!counter && change.what != kAtBothPlaces) continue;
    const auto index = definitions.FindFrame(change.frame);
    if (!index || std::find(frames.begin(), frames.end(), *index) == frames.end()) continue;
    verdict.verdict = Verdict::kNotProven;
    verdict.frozen = change.frame;
    verdict.why +=
        counter ? "; but the counter of " + change.frame +
                      ", right in the before-session, is wrong in most of its frames after: what "
                      "it sends may be old, or its layout may have changed"
                : "; but " + change.frame +
                      " comes with both of its identifiers in one session: one of them may mean "
                      "something else there";
    return;
  }
}

// Whether the verdict says something of the car, or only that nothing can be said.
bool Says(const Judged& one) { return !IsUnproven(one.verdict); }

CommonFooting CommonOf(const std::vector<WarningVerdict>& warnings) {
  CommonFooting common;
  for (const WarningVerdict& one : warnings) {
    if (Says(one)) common.Add(one.stands_on);
  }
  return common;
}

void AddProvisos(std::vector<WarningVerdict>& warnings) {
  if (CommonOf(warnings).IsAllGuesses()) return;
  for (WarningVerdict& one : warnings) {
    if (Says(one)) one.proviso = ProvisoOf(one.stands_on);
  }
}

// Smaller is more important: what is open, what is not proven, what is cleared, the rest; in each
// of them first what asks to stop.
auto Rank(const Judged& one) {
  const int group = IsOpen(one.verdict)                  ? 0
                    : IsUnproven(one.verdict)            ? 1
                    : one.verdict == Verdict::kOffInBoth ? 3
                                                         : 2;
  return std::tuple(group, -static_cast<int>(one.severity), static_cast<int>(one.verdict));
}

template <class List>
void Order(List& list) {
  std::stable_sort(list.begin(), list.end(),
                   [](const auto& a, const auto& b) { return Rank(a) < Rank(b); });
}

}  // namespace

std::vector<const Judged*> Comparison::InOrder() const {
  std::vector<const Judged*> all;
  for (const WarningVerdict& warning : warnings) all.push_back(&warning);
  for (const CodeVerdict& code : codes) all.push_back(&code);
  std::stable_sort(all.begin(), all.end(),
                   [](const Judged* a, const Judged* b) { return Rank(*a) < Rank(*b); });
  return all;
}

std::size_t Comparison::Count(Verdict verdict) const {
  const auto all = InOrder();
  return static_cast<std::size_t>(std::count_if(
      all.begin(), all.end(), [&](const Judged* one) { return one->verdict == verdict; }));
}

std::string Comparison::AllGuessesSentence() const {
  return CommonOf(warnings).Sentence("definitions", "verdicts");
}

std::size_t Comparison::VerdictsWithProviso() const {
  return static_cast<std::size_t>(std::count_if(
      warnings.begin(), warnings.end(), [](const auto& one) { return !one.proviso.empty(); }));
}

bool Comparison::AnyOpen() const {
  const auto all = InOrder();
  return std::any_of(all.begin(), all.end(),
                     [](const Judged* one) { return IsOpen(one->verdict); });
}

bool Comparison::AnyUnproven() const {
  const auto all = InOrder();
  return std::any_of(all.begin(), all.end(),
                     [](const Judged* one) { return IsUnproven(one->verdict); });
}

Comparison Compare(SessionFindings before, SessionFindings after,
                   const std::vector<decoders::Warning>& not_judged) {
  Comparison comparison;
  comparison.before = std::move(before);
  comparison.after = std::move(after);
  comparison.traffic = CompareTraffic(comparison.before, comparison.after);
  comparison.codes = JudgeCodes(comparison.before, comparison.after);
  Order(comparison.codes);
  comparison.units = CompareUnits(comparison.before, comparison.after);
  if (comparison.after.definitions == nullptr) return comparison;
  comparison.signals = CompareSignals(comparison.before, comparison.after);
  comparison.definitions =
      CompareDefinitions(comparison.before, comparison.after, comparison.traffic);
  const decoders::Definitions& definitions = *comparison.after.definitions;
  for (std::size_t i = 0; i < definitions.warnings.size(); ++i) {
    const decoders::Warning& warning = definitions.warnings[i];
    comparison.warnings.push_back(
        JudgeWarning(warning, EvidenceOf(comparison.before, i), EvidenceOf(comparison.after, i)));
    comparison.warnings.back().stands_on = FootingOf(definitions, warning);
    DoubtFrozenFrames(comparison.definitions, definitions, warning, comparison.warnings.back());
  }
  for (const decoders::Warning& warning : not_judged) {
    comparison.warnings.push_back(JudgeWarning(warning, NotDefined(), NotDefined()));
  }
  Order(comparison.warnings);
  AddProvisos(comparison.warnings);
  return comparison;
}

std::vector<CheckPair> PairChecks(const std::vector<CheckResult>& before,
                                  const std::vector<CheckResult>& after,
                                  const Conditions& conditions) {
  std::vector<CheckPair> pairs;
  for (const CheckResult& now : after) {
    const auto old = std::find_if(before.begin(), before.end(),
                                  [&](const CheckResult& one) { return one.name == now.name; });
    if (old == before.end()) continue;
    pairs.push_back({now.name, now.title, *old, now, CompareFigures(*old, now, conditions)});
  }
  return pairs;
}

}  // namespace proofdrive::analysis
