#include "output/words/next_steps.h"

#include <algorithm>

#include "analysis/compare/test_plan.h"
#include "analysis/findings/coverage.h"
#include "core/base/text.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::CheckPair;
using analysis::CheckStatus;
using analysis::Comparison;
using analysis::Judged;

// So many are named; of more, the first ones.
constexpr std::size_t kMostNamed = 3;

std::string Named(const std::vector<std::string>& names) {
  if (names.size() <= kMostNamed) return Enumerate(names);
  return Join(std::span(names).first(kMostNamed), ", ") + " and " +
         FormatCount(names.size() - kMostNamed) + " more";
}

bool Asks(CheckStatus status) {
  return status == CheckStatus::kOutside || status == CheckStatus::kLookCloser;
}

// What is open and as severe as the worst of it.
void AddWorst(const Comparison& comparison, std::vector<std::string>& steps) {
  const Judged* worst = nullptr;
  std::vector<std::string> names;
  for (const Judged* one : comparison.InOrder()) {
    if (!IsOpen(one->verdict)) continue;
    if (worst == nullptr) worst = one;
    if (one->severity != worst->severity) continue;
    const std::string title = one->text.empty() ? one->Label() : one->text;
    const std::string name = one->text.empty() ? "" : one->Label() + ", ";
    names.push_back(title + " (" + name + std::string(VerdictName(one->verdict)) + ")");
  }
  if (worst == nullptr) return;
  steps.push_back("First, severity " + std::string(decoders::WarningSeverityName(worst->severity)) +
                  ": " + Named(names) + ".");
}

// Checks that are worse than before, and those that are still outside limits.
void AddChecks(const Comparison& comparison, std::vector<std::string>& steps) {
  std::vector<std::string> worse, still;
  for (const CheckPair& pair : comparison.checks) {
    if (!Asks(pair.after.status)) continue;
    const bool better_before =
        pair.before.status == CheckStatus::kWithin || pair.after.status < pair.before.status;
    if (better_before && pair.before.status != CheckStatus::kCannotTell) {
      worse.push_back(pair.title);
    } else if (pair.after.status == CheckStatus::kOutside) {
      still.push_back(pair.title);
    }
  }
  if (!worse.empty()) {
    steps.push_back("Find out what made " + Named(worse) + " worse: see the checks below.");
  }
  if (!still.empty()) {
    steps.push_back("Look into " + Named(still) + ": outside limits in the after-session.");
  }
}

// Frames that are at another place since an update.
void AddMoved(const Comparison& comparison, std::vector<std::string>& steps) {
  if (comparison.after.definitions == nullptr) return;
  std::vector<std::string> sure, likely;
  for (const analysis::DefinitionChange& change : comparison.definitions) {
    const std::string advice = MovedAdvice(change, *comparison.after.definitions);
    if (advice.empty()) continue;
    const bool fits = change.places[0].fit == analysis::PlaceFit::kFits;
    (fits ? sure : likely).push_back(advice);
  }
  if (!sure.empty()) {
    steps.push_back("Frames moved: " + Named(sure) +
                    ", then compare again with --definitions FILE; both recordings are read.");
  }
  if (!likely.empty()) {
    steps.push_back(
        "Frames may have moved, which no checksum or counter confirms: look at the "
        "new place (proofdrive lint --against), and if it fits, " +
        Named(likely) + " and compare again with --definitions FILE.");
  }
}

void AddRecording(const Comparison& comparison, std::vector<std::string>& steps) {
  const analysis::TestPlan plan = analysis::MakeTestPlan(comparison);
  std::vector<std::string> names;
  for (const analysis::PlanStep& step : plan.steps) {
    for (const std::string& name : step.proves) {
      if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
    }
  }
  if (names.empty()) return;
  const std::string listed = plan.steps.size() == 1 ? "step" : CountOf(plan.steps.size(), "step");
  steps.push_back("Record again with the " + listed + " listed below, which can prove " +
                  Named(names) + ".");
}

}  // namespace

std::vector<std::string> NextSteps(const Comparison& comparison) {
  std::vector<std::string> steps;
  if (analysis::CoverageOf(comparison.after).Nothing()) return steps;
  AddWorst(comparison, steps);
  AddMoved(comparison, steps);
  AddChecks(comparison, steps);
  AddRecording(comparison, steps);
  return steps;
}

std::vector<std::string> JoinedFindings(const Comparison& comparison) {
  std::vector<std::string> sentences;
  for (const CheckPair& pair : comparison.checks) {
    for (const std::string& joined : pair.after.joined) {
      sentences.push_back("In the after-session " + joined + ".");
    }
  }
  return sentences;
}

}  // namespace proofdrive::output
