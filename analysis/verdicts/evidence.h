// What one session shows about one warning, reduced to what a verdict asks for.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/findings/session_findings.h"

namespace proofdrive::analysis {

struct WarningEvidence {
  // False: the definitions used for this session do not have the warning.
  bool defined = true;
  Duration length{0};  // of the session, up to the moment the warning's buses fell quiet
  Duration known{0};   // time on or off
  Duration on{0};
  std::uint32_t times_set = 0;
  std::optional<Duration> first_set;  // since the start of the session
  std::optional<Duration> last_set;
  std::optional<Duration> went_off;  // the last time it went from on to off

  bool ever_on = false;
  bool ever_off = false;
  bool set_after_off = false;  // off, and later on
  bool on_off_on = false;      // on, later off, later on again
  bool last_known_on = false;  // the last thing known about it
  // Known at the end. A silence of up to kEndTolerance at the end does not count.
  bool known_at_end = false;
  Duration unknown_at_end{0};

  // `proven by`: the longest time its condition held without a break, and whether that was enough.
  Duration proven_longest{0};
  std::uint32_t proven_times = 0;  // how often it held for as long as was asked
  bool proven = false;

  std::string why_unknown;          // of the evaluator; empty when known
  std::vector<std::string> silent;  // frames of the warning that never arrived

  bool Says() const { return defined && (ever_on || ever_off); }
};

// A session ends a little after the last frame of a stream: up to this much silence is no loss.
inline constexpr Duration kEndTolerance = std::chrono::seconds(2);

// Evidence of warning `index` of findings.definitions.
WarningEvidence EvidenceOf(const SessionFindings& findings, std::size_t index);

// The same from its parts; times in `history` are counted from `start`. `set_after` is the
// warning's `on after`: when nothing was known and the condition then holds, the evaluator waits
// that long with the warning off before it is set. Such a wait is not taken as the warning having
// been off.
WarningEvidence EvidenceOf(const decoders::WarningHistory& history, const WarningSource& source,
                           WallTime start);

// A session whose definitions lack the warning.
WarningEvidence NotDefined();

}  // namespace proofdrive::analysis
