// What a measured fit means, in words for the author of the definitions.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/fit/measure.h"
#include "decoders/model/definitions.h"

namespace proofdrive::analysis {

enum class FitSeverity {
  kProblem,  // the definition is probably wrong
  kNotice,   // may be right: worth a look
};
std::string_view FitSeverityName(FitSeverity severity);  // "problem", "notice"

enum class FitKind {
  kNeverSeen,
  kBusNotRecorded,
  kTooShort,
  kWrongLength,
  kChecksumFails,
  kCounterFails,
  kNotTested,
  kOutOfRange,
  kUnknownStates,
  kPeriodDiffers,
  kNoValue,
  kAlwaysAbsent,
  kNeverChanges,
};
std::string_view FitKindName(FitKind kind);  // "never seen", "checksum fails", ...

// Phrases without a full stop.
struct FitFinding {
  FitSeverity severity = FitSeverity::kNotice;
  FitKind kind = FitKind::kNeverSeen;
  std::string frame;      // name; empty for a computed signal and for a bus
  std::string signal;     // name; empty when it is about the frame
  std::string bus;        // kBusNotRecorded only
  std::string seen;       // in the session
  std::string defined;    // what the definition says
  decoders::Place place;  // where; line 0 for a bus
  std::string try_next;
};

struct FitSummary {
  std::size_t frames = 0;      // defined
  std::size_t fit = 0;         // seen, without a problem of theirs or of their signals
  std::size_t do_not_fit = 0;  // seen, with a problem
  std::size_t never_seen = 0;
  std::size_t not_tested = 0;        // seen, with a checksum or counter that was not tested
  std::size_t problems = 0;          // findings of this severity
  std::vector<FitFinding> findings;  // problems first; within them in the order of definition
};

// How many different contents a checksum of so many bits, or steps a counter, must be right for
// before that is no accident: each fits by chance once in 2^bits, all of them once in a million. At
// least 2.
std::size_t FewestToTest(double bits);

FitSummary JudgeFit(const SessionFit& fit);

// "100 ms", "2.5 s"; empty when zero.
std::string PeriodWords(Duration period);

}  // namespace proofdrive::analysis
