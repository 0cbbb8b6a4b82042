// Warnings over time: when each was on, off or could not be known. Used live and offline alike.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "core/base/time.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/value.h"
#include "decoders/warnings/warning_history.h"

namespace proofdrive::decoders {

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
// `on after` without a break, at the very time that is over; off when `when` has not held for
// `off after` without a break; and off at once when there was none and `when` does not hold. The
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
