// Warnings over time: when each was on, off or could not be known. Used live and offline alike.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/frame/time.h"
#include "decoders/definitions/definitions.h"
#include "decoders/signals/value.h"

namespace proofdrive::decoders {

enum class WarningStateKind {
  kUnknown,  // a signal of the condition has no usable value (never seen, absent, stale)
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
  bool proven = false;  // reached the asked time; false when there is no `proven by`
};

// Feed values in order of time. A signal whose frame is silent for three of its periods (1 s when
// no period is stated) is stale and makes the conditions that use it unknown.
class WarningEvaluator {
 public:
  // REQUIRES: definitions came from the loader (conditions were checked there).
  static std::unique_ptr<WarningEvaluator> Create(std::shared_ptr<const Definitions> definitions);
  virtual ~WarningEvaluator() = default;

  virtual void Update(const Value& value) = 0;
  // Time passes without values; times before the last one are ignored.
  virtual void AdvanceTo(WallTime now) = 0;

  // State now and since when; `index` into Definitions::warnings.
  virtual WarningSpan Current(std::uint32_t index) const = 0;
  // Ends all spans at `end`. The evaluator is not used afterwards.
  virtual std::vector<WarningHistory> Finish(WallTime end) = 0;
};

}  // namespace proofdrive::decoders
