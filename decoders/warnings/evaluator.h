// Warnings over time: when each was on, off or could not be known. Used live and offline alike.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/time.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/value.h"

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

// Feed values in order of time. The same values give the same history, however often AdvanceTo and
// Current are called between instants.
//
// Stale. A frame is heard whenever any of its signals has a value, so that a signal on a rare page
// stays fresh while the frame keeps coming. When it was last heard at t and its limit is T (the
// frame's timeout; else three periods; else 1 s), its signals are stale from t + T on, unless it is
// heard at t + T or before. A reading's limit is three of its periods. A computed signal is stale
// as soon as something it uses is.
//
// Conditions are three-valued (decoders/formula/formula.h). All values with the same time are taken
// together, and a condition is looked at once for each instant.
//
// On and off. Let the settled state be none at first. It becomes on when `when` has held for
// `for` without a break, at the very time that is over; off when `when` has not held for
// `clear for` without a break; and off at once when there was none and `when` does not hold. The
// warning shows the settled state while `when` is known, and kUnknown otherwise. Unknown breaks
// both waits, but not the settled state, which is taken up again. At the same instant, waits end
// before frames become stale.
//
// Only while. While the condition of `only while` does not hold, or is unknown, so is `when`.
//
// Proof. `proven by` counts while its condition holds and the warning is off: while it is on it has
// appeared, and unknowns prove nothing. Anything else breaks it.
class WarningEvaluator {
 public:
  // REQUIRES: definitions came from the loader (conditions were checked there).
  static std::unique_ptr<WarningEvaluator> Create(std::shared_ptr<const Definitions> definitions);
  virtual ~WarningEvaluator() = default;

  // A value before the last time counts as arriving now: the clock was set back.
  virtual void Update(const Value& value) = 0;
  // Time passes without values; times before the last one are ignored.
  virtual void AdvanceTo(WallTime now) = 0;

  // State at the time of the last value or AdvanceTo, and since when; `index` into
  // Definitions::warnings. Before any time is known: unknown, with times of 0.
  virtual WarningSpan Current(std::uint32_t index) const = 0;
  // Ends all spans at `end`. Without any value or AdvanceTo before, spans are of length 0 or none.
  // The evaluator is not used afterwards.
  virtual std::vector<WarningHistory> Finish(WallTime end) = 0;
};

}  // namespace proofdrive::decoders
