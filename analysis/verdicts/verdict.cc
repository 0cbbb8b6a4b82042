#include "analysis/verdicts/verdict.h"

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

std::string_view VerdictName(Verdict verdict) {
  switch (verdict) {
    case Verdict::kStillOn:
      return "still on";
    case Verdict::kCameBack:
      return "came back";
    case Verdict::kNew:
      return "new";
    case Verdict::kNotProven:
      return "not proven";
    case Verdict::kNoEvidence:
      return "no evidence";
    case Verdict::kCleared:
      return "cleared";
    case Verdict::kOffInBoth:
      return "off in both";
  }
  return "";
}

bool IsOpen(Verdict verdict) {
  return verdict == Verdict::kStillOn || verdict == Verdict::kCameBack || verdict == Verdict::kNew;
}

bool IsUnproven(Verdict verdict) {
  return verdict == Verdict::kNotProven || verdict == Verdict::kNoEvidence;
}

}  // namespace proofdrive::analysis
