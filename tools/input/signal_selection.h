// Which values a user asked for: signals, elements of a series, a stretch of time.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/base/time.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/value.h"

namespace proofdrive::tools {

class SignalSelection {
 public:
  // Names of signals ("pack_voltage"), of all elements of a series ("cell_voltage") or of one
  // ("cell_voltage[7]", counted from 1). No names: everything. kNotFound names the nearest signal.
  static Result<SignalSelection> Create(const decoders::Definitions& definitions,
                                        const std::vector<std::string>& names);

  bool Has(const decoders::Value& value) const { return Has(value.signal, value.element); }
  bool Has(std::uint32_t signal, std::uint32_t element) const {
    return whole_[signal] || HasElement(signal, element);
  }
  // Per signal: at least one element is chosen.
  std::vector<bool> Signals() const;

 private:
  bool HasElement(std::uint32_t signal, std::uint32_t element) const;
  Status Choose(const decoders::Definitions& definitions, const std::string& name);

  std::vector<bool> whole_;                              // per signal
  std::map<std::uint32_t, std::vector<bool>> elements_;  // signal -> per element
};

// A bound of time as typed by the user.
class TimeBound {
 public:
  // Seconds since the start of the session ("12.5"), a length since then ("4min8s"), seconds since
  // 1970 (numbers from 100000000 up), or ISO 8601 ("2026-03-01T12:00:00Z"). `option` is named in
  // the error.
  static Result<TimeBound> Parse(const std::string& option, const std::string& text);

  // Negative, zero or positive: the frame is before, at or after the bound.
  int Compare(WallTime time, Duration since_start) const;
  // The moment it means in a session whose first frame came at `start`.
  WallTime At(WallTime start) const { return wall_.value_or(start + since_start_); }
  // Not a moment of the calendar.
  bool counts_from_start() const { return !wall_; }
  // False when that cannot be said: one counts from the start of the session, the other does not.
  bool IsAfter(const TimeBound& other) const;

 private:
  std::optional<WallTime> wall_;
  Duration since_start_{0};
};

// From the first to the last time that is asked for; everything when neither is set.
struct TimeBounds {
  std::optional<TimeBound> from;
  std::optional<TimeBound> to;

  bool Has(WallTime time, Duration since_start) const {
    return (!from || from->Compare(time, since_start) >= 0) &&
           (!to || to->Compare(time, since_start) <= 0);
  }
};

}  // namespace proofdrive::tools
