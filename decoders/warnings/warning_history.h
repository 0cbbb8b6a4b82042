// One warning over time: its states, and what a verdict needs to know of it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/time.h"

namespace proofdrive::decoders {

enum class WarningStateKind {
  kUnknown,  // the condition depends on a signal without a usable value (never seen, absent, out of
             // range, stale), or has not yet held long enough to be the first thing known
  kOff,
  kOn,
};
std::string_view WarningStateName(WarningStateKind kind);  // "unknown", "off", "on"

// A stretch of time in one state.
struct WarningSpan {
  WarningStateKind kind = WarningStateKind::kUnknown;
  WallTime from;
  WallTime to;
};

// Everything a verdict needs to know about one warning in one session.
struct WarningHistory {
  std::vector<WarningSpan> spans;  // without gaps, from first to last time; may be empty
  Duration known{0};               // time on or off
  Duration on{0};
  std::uint32_t times_set = 0;  // off (or unknown) -> on
  std::optional<WallTime> first_set;
  std::optional<WallTime> last_set;
  WarningStateKind at_end = WarningStateKind::kUnknown;
  std::string why_unknown;  // "coolant_level was never received"; empty when known
  // `proven by`: the longest unbroken time its condition held while the warning was off.
  Duration proven_longest{0};
  // How often it held for as long as was asked. After one time, its condition must be known not to
  // hold before it can count again.
  std::uint32_t proven_times = 0;
  bool proven = false;  // as often as was asked; false when there is no `proven by`
};

}  // namespace proofdrive::decoders
