// The last value of every signal, as formulas read it.
#pragma once

#include <cstdint>
#include <vector>

#include "decoders/formula/formula.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/value.h"

namespace proofdrive::decoders {

// Knows nothing about time: whoever asks decides whether a value is still fresh.
class LatestValues {
 public:
  explicit LatestValues(const Definitions& definitions);

  void Update(const Value& value);

  // What a formula wants, NaN when it is not known: never received, absent or out of range. A
  // function of a series is known once every element has been received; elements that are absent
  // or out of range are left out, and when none is left the result is unknown. argmax and argmin
  // count from 1, and are the first place when several are equal; count is the number of elements
  // that have a value.
  double Read(const FormulaInput& input) const;

  enum class Why { kUsable, kNever, kAbsent, kOutOfRange, kIncomplete };
  Why WhyUnknown(const FormulaInput& input) const;

 private:
  struct Slot {
    double number = 0;
    std::int64_t raw = 0;
    Why why = Why::kNever;
  };
  double ReadSeries(const FormulaInput& input) const;

  const Definitions& definitions_;
  std::vector<std::uint32_t> first_slot_;  // per signal, into slots_
  std::vector<Slot> slots_;
  std::vector<std::uint32_t> never_received_;  // per signal: elements still missing
};

}  // namespace proofdrive::decoders
