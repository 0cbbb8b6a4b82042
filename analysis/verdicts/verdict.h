// The seven things a comparison can say about one warning.
#pragma once

#include <array>
#include <string_view>

#include "analysis/verdicts/evidence.h"

namespace proofdrive::analysis {

// In the order of what matters to the reader. docs/verdicts.md defines each.
enum class Verdict {
  kStillOn,
  kCameBack,
  kNew,
  kNotProven,
  kNoEvidence,
  kCleared,
  kOffInBoth,
};

inline constexpr std::array kAllVerdicts = {
    Verdict::kStillOn,    Verdict::kCameBack, Verdict::kNew,       Verdict::kNotProven,
    Verdict::kNoEvidence, Verdict::kCleared,  Verdict::kOffInBoth,
};

// "still on", "came back", "new", "not proven", "no evidence", "cleared", "off in both".
std::string_view VerdictName(Verdict verdict);

// Something is wrong with the vehicle now: still on, came back, new.
bool IsOpen(Verdict verdict);
// The recordings do not suffice to say: not proven, no evidence.
bool IsUnproven(Verdict verdict);

// Never kCleared for a warning that was merely not seen: it takes the warning set before, off and
// known at the end of the after-session, and its `proven by` met there.
Verdict Judge(const WarningEvidence& before, const WarningEvidence& after);

}  // namespace proofdrive::analysis
