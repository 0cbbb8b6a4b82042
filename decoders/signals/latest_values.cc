#include "decoders/signals/latest_values.h"

#include <limits>

namespace proofdrive::decoders {
namespace {

constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();

// What all functions of a series need, gathered in one pass.
struct Summary {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();
  double sum = 0;
  std::uint32_t count = 0;
  std::uint32_t low_at = 0;
  std::uint32_t high_at = 0;

  void Add(double number, std::uint32_t at) {
    if (number < low) low = number, low_at = at;
    if (number > high) high = number, high_at = at;
    sum += number;
    ++count;
  }

  double Result(SeriesFunction function) const {
    switch (function) {
      case SeriesFunction::kMax:
        return high;
      case SeriesFunction::kMin:
        return low;
      case SeriesFunction::kMean:
        return sum / count;
      case SeriesFunction::kSpread:
        return high - low;
      case SeriesFunction::kSum:
        return sum;
      case SeriesFunction::kCount:
        return count;
      case SeriesFunction::kArgmax:
        return high_at + 1;
      case SeriesFunction::kArgmin:
        return low_at + 1;
      case SeriesFunction::kNone:
        break;
    }
    return kUnknown;
  }
};

}  // namespace

LatestValues::LatestValues(const Definitions& definitions) : definitions_(definitions) {
  std::uint32_t slots = 0;
  for (const Signal& signal : definitions.signals) {
    first_slot_.push_back(slots);
    never_received_.push_back(signal.count);
    slots += signal.count;
  }
  slots_.resize(slots);
}

void LatestValues::Update(const Value& value) {
  Slot& slot = slots_[first_slot_[value.signal] + value.element];
  if (slot.why == Why::kNever) --never_received_[value.signal];
  slot.number = value.number;
  slot.raw = value.raw;
  switch (value.validity) {
    case Validity::kValid:
      slot.why = Why::kUsable;
      break;
    case Validity::kAbsent:
      slot.why = Why::kAbsent;
      break;
    case Validity::kOutOfRange:
      slot.why = Why::kOutOfRange;
      break;
  }
}

double LatestValues::Read(const FormulaInput& input) const {
  if (input.function != SeriesFunction::kNone) return ReadSeries(input);
  const Slot& slot = slots_[first_slot_[input.signal] + input.element];
  if (slot.why != Why::kUsable) return kUnknown;
  if (input.state.empty()) return slot.number;
  for (const StateName& state : definitions_.signals[input.signal].states) {
    if (state.name == input.state && slot.raw >= state.first && slot.raw <= state.last) return 1;
  }
  return 0;
}

double LatestValues::ReadSeries(const FormulaInput& input) const {
  if (never_received_[input.signal] > 0) return kUnknown;
  Summary summary;
  const std::uint32_t count = definitions_.signals[input.signal].count;
  for (std::uint32_t i = 0; i < count; ++i) {
    const Slot& slot = slots_[first_slot_[input.signal] + i];
    if (slot.why == Why::kUsable) summary.Add(slot.number, i);
  }
  if (summary.count == 0 && input.function != SeriesFunction::kCount) return kUnknown;
  return summary.Result(input.function);
}

LatestValues::Why LatestValues::WhyUnknown(const FormulaInput& input) const {
  const std::uint32_t first = first_slot_[input.signal];
  if (input.function == SeriesFunction::kNone) return slots_[first + input.element].why;
  const std::uint32_t missing = never_received_[input.signal];
  if (missing == definitions_.signals[input.signal].count) return Why::kNever;
  if (missing > 0) return Why::kIncomplete;
  const double value = ReadSeries(input);
  return value == value ? Why::kUsable : Why::kAbsent;
}

}  // namespace proofdrive::decoders
