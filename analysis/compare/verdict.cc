#include "analysis/compare/verdict.h"

namespace proofdrive::analysis {

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
