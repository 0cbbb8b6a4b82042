// The seven things a comparison can say about one warning.
#pragma once

#include <array>
#include <string_view>

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

}  // namespace proofdrive::analysis
