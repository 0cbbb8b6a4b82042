// What a verdict is about: one warning or one trouble code.
#pragma once

#include <string>
#include <vector>

#include "analysis/standing/footing.h"
#include "analysis/verdicts/verdict.h"
#include "decoders/model/definitions.h"

namespace proofdrive::analysis {

struct Judged {
  enum class Kind { kWarning, kCode };
  Kind kind = Kind::kWarning;
  std::string name;  // of the warning; of a code "P0AA6-1A"
  std::string unit;  // control unit of a code; empty for a warning
  std::string text;  // what it means; may be empty
  // Codes say nothing about it: "soon" when set in either session, else "note".
  decoders::WarningSeverity severity = decoders::WarningSeverity::kNote;
  Verdict verdict = Verdict::kNoEvidence;
  std::string why;
  std::vector<Footing> stands_on;  // empty for a code
  std::string proviso;             // what a verdict that stands on a guess adds to `why`

  std::string Reason() const { return why + proviso; }

  // "P0AA6-1A of pack_controller".
  std::string Label() const { return unit.empty() ? name : name + " of " + unit; }
};

}  // namespace proofdrive::analysis
