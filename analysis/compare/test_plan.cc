#include "analysis/compare/test_plan.h"

#include <algorithm>

#include "analysis/compare/condition_terms.h"
#include "analysis/findings/coverage.h"
#include "analysis/session/warning_sources.h"
#include "analysis/verdicts/reasons.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::Definitions;
using decoders::Warning;

struct Draft {
  std::vector<Term> terms;
  PlanStep step;
};

void AddObstacle(TestPlan& plan, const std::string& what, const std::string& warning) {
  for (PlanObstacle& one : plan.obstacles) {
    if (one.what != what) continue;
    one.warnings.push_back(warning);
    return;
  }
  plan.obstacles.push_back({what, {warning}});
}

// What to write for frames that no longer come, as far as it is confirmed where they went: "add
// \"moved to: 0x247\" to frame supply".
std::string MovedTo(const Comparison& comparison, const std::vector<std::string>& frames) {
  std::vector<std::string> moved;
  for (const DefinitionChange& change : comparison.definitions) {
    const bool asked = std::find(frames.begin(), frames.end(), change.frame) != frames.end();
    if (!asked || change.places.empty() || change.places[0].fit != PlaceFit::kFits) continue;
    moved.push_back(MovedAdvice(change, *comparison.after.definitions));
  }
  return Join(moved, ", ");
}

bool FindChange(const Comparison& comparison, const std::string& frame, std::string_view what) {
  return std::any_of(
      comparison.definitions.begin(), comparison.definitions.end(),
      [&](const DefinitionChange& change) { return change.frame == frame && change.what == what; });
}

// What stands in the way besides driving; empty when nothing does.
std::string ObstacleOf(const Comparison& comparison, const WarningVerdict& verdict,
                       const Warning& warning) {
  const WarningEvidence& after = verdict.after;
  const std::string moved = MovedTo(comparison, after.silent);
  if (!moved.empty()) {
    return "A frame is sent at another place now: " + moved +
           " and compare again with --definitions; that judges both recordings already made";
  }
  if (!after.silent.empty()) {
    return "Nothing was received of " + Join(after.silent, ", ") +
           ": see that its control unit is connected and awake and that its bus is recorded";
  }
  if (!verdict.frozen.empty() && FindChange(comparison, verdict.frozen, kAtBothPlaces)) {
    return "Both identifiers of " + verdict.frozen +
           " come in one session: find out what each means and describe them as two frames";
  }
  if (!verdict.frozen.empty()) {
    return "The counter of " + verdict.frozen +
           " no longer counts as it did: find out whether its control unit still sends fresh "
           "values, or correct its definition (proofdrive lint --against)";
  }
  if (!after.known_at_end) {
    return "It was not known at the end of the recording (" +
           (after.why_unknown.empty() ? "its frames stopped" : after.why_unknown) +
           "): find out why before relying on a new recording";
  }
  if (!warning.proven_by) {
    return "The definition file does not say what would prove it: write \"proven by\" for it; that "
           "judges the recordings already made, too";
  }
  return "";
}

bool AsksToMove(const std::vector<Term>& terms, const Definitions& definitions) {
  return std::any_of(terms.begin(), terms.end(), [&](const Term& term) {
    const auto signal = definitions.FindSignal(term.left);
    const auto number = term.Number();
    return signal && definitions.signals[*signal].role == decoders::RoleName("vehicle speed") &&
           term.op[0] == '>' && number && *number >= 0;
  });
}

Draft DraftOf(const WarningVerdict& verdict, const Warning& warning,
              const Definitions& definitions) {
  Draft draft;
  draft.terms = TermsOf(warning.proven_by->condition.text);
  draft.step.condition = warning.proven_by->condition.text;
  draft.step.words = InWords(draft.terms, definitions);
  draft.step.hold = warning.proven_by->hold;
  draft.step.times = warning.proven_by->times;
  draft.step.moving = AsksToMove(draft.terms, definitions);
  draft.step.proves = {warning.name};
  if (!verdict.after.Says()) return draft;
  draft.step.reached = verdict.after.proven_longest;
  draft.step.reached_times = verdict.after.proven_times;
  return draft;
}

// The one that is asked for more often decides how long each time lasts.
void Absorb(PlanStep& step, const PlanStep& other) {
  const Duration longest = std::max({step.hold, step.once, other.hold, other.once});
  if (other.times > step.times) {
    step.hold = other.hold;
    step.times = other.times;
    step.reached_times = other.reached_times;
  } else if (other.times == step.times) {
    step.hold = std::max(step.hold, other.hold);
    step.reached_times = std::min(step.reached_times, other.reached_times);
  }
  step.once = longest > step.hold ? longest : Duration(0);
  if (!step.reached) step.reached = other.reached;
  if (other.reached) step.reached = std::min(*step.reached, *other.reached);
  step.proves.insert(step.proves.end(), other.proves.begin(), other.proves.end());
}

// True when doing `whole` does `part`, too.
bool Contains(const Draft& whole, const Draft& part) {
  return whole.step.hold >= part.step.hold && whole.step.times >= part.step.times &&
         Implies(whole.terms, part.terms);
}

void Merge(std::vector<Draft>& drafts) {
  for (std::size_t i = 0; i < drafts.size(); ++i) {
    for (std::size_t k = 0; k < drafts.size();) {
      const bool same = k != i && Implies(drafts[i].terms, drafts[k].terms) &&
                        Implies(drafts[k].terms, drafts[i].terms);
      if (k == i || !(same || Contains(drafts[i], drafts[k]))) {
        ++k;
        continue;
      }
      Absorb(drafts[i].step, drafts[k].step);
      drafts.erase(drafts.begin() + static_cast<std::ptrdiff_t>(k));
      if (k < i) --i;
    }
  }
}

const Warning* FindWarning(const Definitions& definitions, const std::string& name) {
  const auto index = definitions.FindWarning(name);
  return index ? &definitions.warnings[*index] : nullptr;
}

void AddCodeObstacles(const Comparison& comparison, TestPlan& plan) {
  for (const CodeVerdict& code : comparison.codes) {
    if (IsUnproven(code.verdict)) AddObstacle(plan, CodeObstacle(code.after), code.Label());
  }
}

}  // namespace

std::string PlanStep::Sentence() const {
  const std::string often = times > 1 ? std::to_string(times) + " times " : "";
  const std::string lasting = hold > Duration(0)
                                  ? SpokenDuration(hold) + " without a break in which "
                                  : "a moment in which ";
  const std::string one = once > Duration(0) ? ", one of them " + SpokenDuration(once) : "";
  std::string so_far = " (not reached yet)";
  if (times > 1 && reached_times > 0) {
    so_far = " (reached " + std::to_string(reached_times) + " of " + std::to_string(times) + ")";
  } else if (reached.value_or(Duration(0)) > Duration(0)) {
    so_far = " (reached " + SpokenShort(*reached, hold) + ")";
  }
  return often + lasting + words + one + so_far;
}

TestPlan MakeTestPlan(const Comparison& comparison) {
  TestPlan plan;
  // No driving helps where the definitions are of another car.
  if (comparison.after.definitions == nullptr || CoverageOf(comparison.after).Nothing()) {
    AddCodeObstacles(comparison, plan);
    return plan;
  }
  const Definitions& definitions = *comparison.after.definitions;
  std::vector<Draft> drafts;
  for (const WarningVerdict& verdict : comparison.warnings) {
    if (!IsUnproven(verdict.verdict)) continue;
    const Warning* warning = FindWarning(definitions, verdict.name);
    if (warning == nullptr || !verdict.after.defined) {
      AddObstacle(plan,
                  "Only the definitions stored with the before-session have it: give definition "
                  "files with --definitions",
                  verdict.name);
      continue;
    }
    const std::string obstacle = ObstacleOf(comparison, verdict, *warning);
    if (!obstacle.empty()) AddObstacle(plan, obstacle, verdict.name);
    if (warning->proven_by && !verdict.after.proven) {
      drafts.push_back(DraftOf(verdict, *warning, definitions));
    } else if (obstacle.empty()) {
      AddObstacle(plan,
                  "Nothing shows that it was ever set: no recording made after the repair can say "
                  "that the repair cleared it",
                  verdict.name);
    }
  }
  Merge(drafts);
  std::stable_sort(drafts.begin(), drafts.end(),
                   [](const Draft& a, const Draft& b) { return a.step.moving < b.step.moving; });
  for (Draft& draft : drafts) plan.steps.push_back(std::move(draft.step));
  AddCodeObstacles(comparison, plan);
  return plan;
}

}  // namespace proofdrive::analysis
