#include "analysis/compare/verdicts.h"

namespace proofdrive::analysis {
namespace {

// The warning was set in the after-session.
Verdict JudgeSet(const WarningEvidence& before, const WarningEvidence& after, Verdict otherwise) {
  if (before.ever_off && !before.ever_on) return Verdict::kNew;
  if (after.on_off_on) return Verdict::kCameBack;
  if (after.set_after_off) return before.ever_on ? Verdict::kCameBack : Verdict::kNew;
  return after.last_known_on ? Verdict::kStillOn : otherwise;
}

// The warning is not set now.
Verdict JudgeOff(const WarningEvidence& before, const WarningEvidence& after) {
  if (!after.known_at_end) return Verdict::kNoEvidence;
  if (before.ever_on || after.ever_on) {
    return after.proven ? Verdict::kCleared : Verdict::kNotProven;
  }
  if (before.ever_off) return Verdict::kOffInBoth;
  return after.proven ? Verdict::kNoEvidence : Verdict::kNotProven;
}

}  // namespace

Verdict Judge(const WarningEvidence& before, const WarningEvidence& after) {
  if (!after.Says()) return Verdict::kNoEvidence;
  const Verdict off = JudgeOff(before, after);
  return after.ever_on ? JudgeSet(before, after, off) : off;
}

}  // namespace proofdrive::analysis
