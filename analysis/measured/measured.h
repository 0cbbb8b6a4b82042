// What was measured by hand, held against what was decoded at the same time.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/checking/input.h"
#include "session/beside/measurements.h"

namespace proofdrive::analysis {

// How near a decoded value must be, in the unit of its role, and for how long a value of that kind
// can be compared with the moment. Choices of this tool; docs/checks.md, "Measured by hand".
struct Tolerance {
  std::string_view unit;
  double share = 0;     // of the measured value
  double absolute = 0;  // and this besides
  double near_s = 0;    // the nearest decoded value may be this far away
};
const Tolerance& ToleranceOf(std::string_view role);

enum class MeasuredOutcome { kConfirms, kContradicts, kSaysNothing };

// One measurement beside one signal.
struct MeasuredNote {
  std::string role;
  std::string signal;  // empty: the definitions have none of that role
  MeasuredOutcome outcome = MeasuredOutcome::kSaysNothing;
  std::string sentence;  // whole, without a full stop
};

// Compares each with the usable signals of its role. A signal that agrees counts as known from a
// measurement; one that is contradicted and is not known from a document or an earlier measurement
// is not used. REQUIRES: CheckSignals has judged the signals.
std::vector<MeasuredNote> HoldAgainst(CheckInput& input,
                                      std::span<const session::Measurement> measurements);

// Tells `result` what concerns its roles: `measured`, and for a contradiction of what it needs, or
// of anything when it would be good news, its first sentence and status.
void TellMeasured(std::span<const MeasuredNote> notes, CheckResult& result);

}  // namespace proofdrive::analysis
