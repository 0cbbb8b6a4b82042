#include "analysis/checking/input.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "analysis/checking/unit_conversion.h"
#include "analysis/series/series.h"
#include "decoders/model/roles.h"

namespace proofdrive::analysis {
namespace {

using decoders::Signal;
using decoders::Validity;

std::string_view UnitOfRole(std::string_view role) {
  const decoders::Role* row = decoders::FindRole(role);
  return row == nullptr ? "" : row->unit;
}

// One signal being gathered: its place in the result, and how values become those of the role.
struct Slot {
  RoleSignal signal;
  UnitStep step;
  bool raw = false;
};

Slot MakeSlot(const Signal& signal) {
  Slot slot;
  RoleSignal& out = slot.signal;
  out.role = signal.role;
  out.name = signal.name;
  out.states = signal.states;
  out.known_from = signal.known_from;
  out.is_series = signal.is_series;
  out.positive = signal.positive;
  out.elements.resize(std::max<std::uint32_t>(signal.count, 1));
  const std::string_view wanted = UnitOfRole(signal.role);
  const auto step = wanted.empty() ? UnitStep{} : UnitFromTo(signal.unit, wanted);
  out.unit_fits = step.has_value();
  out.unit = out.unit_fits && !wanted.empty() ? std::string(wanted) : signal.unit;
  slot.step = step.value_or(UnitStep{});
  slot.raw = !signal.states.empty();
  const auto convert = [&](double value) { return value * slot.step.factor + slot.step.offset; };
  out.step = std::fabs(signal.scale * slot.step.factor);
  if (signal.range) {
    out.range_low = convert(signal.range->low);
    out.range_high = convert(signal.range->high);
  }
  const unsigned bits = signal.location.bits();
  if (signal.encoding == decoders::Encoding::kUnsigned && bits >= 8 && bits <= 32 &&
      signal.states.empty()) {
    out.largest_raw =
        convert((std::ldexp(1.0, static_cast<int>(bits)) - 1) * signal.scale + signal.offset);
  }
  return slot;
}

// A state that stays is kept this often, so that hours of a fast frame do not fill the memory.
// Every change is kept, with its time.
constexpr double kSameStateEvery_s = 0.1;

bool SaysNothingNew(const Track& track, double at_s, double state) {
  return !track.empty() && track.value.back() == state &&
         at_s - track.time_s.back() < kSameStateEvery_s;
}

// Appends the valid values of one series to its signal, in the unit of the role.
void Take(const Series& series, const Slot& slot, RoleSignal& signal) {
  if (series.element >= signal.elements.size()) return;
  Track& track = signal.elements[series.element];
  if (!slot.raw) {  // growing by doubling would cost up to as much again
    track.time_s.reserve(track.size() + series.size());
    track.value.reserve(track.size() + series.size());
  }
  for (std::size_t i = 0; i < series.size(); ++i) {
    if (series.validity[i] == Validity::kAbsent) ++signal.absent;
    if (series.validity[i] == Validity::kOutOfRange) ++signal.out_of_range;
    if (!series.IsValid(i)) continue;
    const double number = slot.raw && i < series.raw.size()
                              ? static_cast<double>(series.raw[i])
                              : series.numbers[i] * slot.step.factor + slot.step.offset;
    const double at_s = ToSeconds(series.at[i]);
    if (!slot.raw || !SaysNothingNew(track, at_s, number)) track.Add(at_s, number);
  }
}

}  // namespace

bool RoleSignal::received() const {
  return std::any_of(elements.begin(), elements.end(),
                     [](const Track& track) { return !track.empty(); });
}

bool RoleSignal::IsState(double value, std::initializer_list<decoders::Meaning> meanings) const {
  for (const decoders::StateName& state : states) {
    if (value < static_cast<double>(state.first) || value > static_cast<double>(state.last)) {
      continue;
    }
    if (std::find(meanings.begin(), meanings.end(), state.means) != meanings.end()) return true;
  }
  return false;
}

const RoleSignal* CheckInput::Find(decoders::RoleName role) const {
  for (const RoleSignal& signal : signals) {
    if (signal.role == role && signal.unusable.empty() && signal.received()) return &signal;
  }
  return nullptr;
}

double CheckInput::Gap(const Track& track) { return std::max(3 * Period(track), 0.05); }

Intervals CheckInput::WhereState(decoders::RoleName role,
                                 std::initializer_list<decoders::Meaning> meanings) const {
  const RoleSignal* signal = Find(role);
  if (signal == nullptr) return {};
  const Track& track = signal->track();
  return Where(track, Gap(track), [&](double value) { return signal->IsState(value, meanings); });
}

const Track& CheckInput::TrackOf(decoders::RoleName role) const {
  static const Track kEmpty;
  const RoleSignal* signal = Find(role);
  return signal == nullptr ? kEmpty : signal->track();
}

Result<CheckInput> ReadCheckInput(session::Reader& reader, const DefinitionSet& set) {
  CheckInput input;
  if (set.definitions == nullptr) return input;
  std::vector<std::uint32_t> chosen;
  std::map<std::uint32_t, Slot> slots;  // by signal
  for (std::uint32_t i = 0; i < set.definitions->signals.size(); ++i) {
    const Signal& signal = set.definitions->signals[i];
    if (signal.role.empty() || signal.encoding == decoders::Encoding::kText) continue;
    chosen.push_back(i);
    slots.emplace(i, MakeSlot(signal));
  }
  RETURN_IF_ERROR(VisitSeries(reader, set.definitions, chosen, [&](const Series& series) {
    Slot& slot = slots.at(series.signal);
    Take(series, slot, slot.signal);
    if (series.size() == 0) return true;
    input.length_s = std::max(input.length_s, ToSeconds(series.at.back()));
    input.start = series.times.front() - series.at.front();
    return true;
  }));
  for (const std::uint32_t i : chosen) input.signals.push_back(std::move(slots.at(i).signal));
  return input;
}

}  // namespace proofdrive::analysis
