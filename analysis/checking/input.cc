#include "analysis/checking/input.h"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "analysis/checking/unit_conversion.h"
#include "analysis/pass/pass.h"
#include "decoders/model/roles.h"

namespace proofdrive::analysis {
namespace {

using decoders::Signal;
using decoders::Validity;

std::string_view UnitOfRole(std::string_view role) {
  const decoders::Role* row = decoders::FindRole(role);
  return row == nullptr ? "" : row->unit;
}

// A state that stays is kept this often, so that hours of a fast frame do not fill the memory.
// Every change is kept, with its time.
constexpr double kSameStateEvery_s = 0.1;

bool SaysNothingNew(const Track& track, double at_s, double state) {
  return !track.empty() && track.value.back() == state &&
         at_s - track.time_s.back() < kSameStateEvery_s;
}

// Two streams of one signal may overlap by what frames of different channels arrive late.
void PutInOrder(Track& track, std::size_t from) {
  if (from == 0 || from == track.size() || track.time_s[from] >= track.time_s[from - 1]) return;
  const auto late = std::upper_bound(track.time_s.begin(), track.time_s.end(), track.time_s[from]);
  const auto first = static_cast<std::size_t>(late - track.time_s.begin());
  std::vector<std::pair<double, double>> tail;
  for (std::size_t i = first; i < track.size(); ++i) {
    tail.emplace_back(track.time_s[i], track.value[i]);
  }
  std::stable_sort(tail.begin(), tail.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  for (std::size_t i = 0; i < tail.size(); ++i) {
    std::tie(track.time_s[first + i], track.value[first + i]) = tail[i];
  }
}

// Keeps every value of every signal with a role.
class InputTaker : public SeriesConsumer {
 public:
  explicit InputTaker(const decoders::Definitions& definitions) : roles_(definitions) {
    input_.signals = roles_.Empty();
  }
  std::vector<std::uint32_t> Signals() const override { return roles_.signals(); }
  void OnSeries(const Series& part) override { AddPart(roles_.Read(part), input_); }
  CheckInput Take() { return std::move(input_); }

 private:
  RoleReader roles_;
  CheckInput input_;
};

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

RoleReader::Slot RoleReader::MakeSlot(const Signal& signal) {
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
  slot.factor = step.value_or(UnitStep{}).factor;
  slot.offset = step.value_or(UnitStep{}).offset;
  slot.raw = !signal.states.empty();
  const auto convert = [&](double value) { return value * slot.factor + slot.offset; };
  out.step = std::fabs(signal.scale * slot.factor);
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

RoleReader::RoleReader(const decoders::Definitions& definitions)
    : place_(definitions.signals.size()) {
  for (std::uint32_t i = 0; i < definitions.signals.size(); ++i) {
    const Signal& signal = definitions.signals[i];
    if (signal.role.empty() || signal.encoding == decoders::Encoding::kText) continue;
    place_[i] = slots_.size();
    chosen_.push_back(i);
    slots_.push_back(MakeSlot(signal));
  }
}

std::vector<RoleSignal> RoleReader::Empty() const {
  std::vector<RoleSignal> signals;
  for (const Slot& slot : slots_) signals.push_back(slot.signal);
  return signals;
}

const RolePart& RoleReader::Read(const Series& series) {
  const Slot& slot = slots_[place_[series.signal]];
  part_.signal = place_[series.signal];
  part_.element = series.element;
  part_.time_s.clear();
  part_.value.clear();
  part_.absent = part_.out_of_range = 0;
  part_.start = series.times.front() - series.at.front();
  part_.end_s = ToSeconds(series.at.back());
  for (std::size_t i = 0; i < series.size(); ++i) {
    if (series.validity[i] == Validity::kAbsent) ++part_.absent;
    if (series.validity[i] == Validity::kOutOfRange) ++part_.out_of_range;
    if (!series.IsValid(i)) continue;
    part_.time_s.push_back(ToSeconds(series.at[i]));
    part_.value.push_back(slot.raw && i < series.raw.size()
                              ? static_cast<double>(series.raw[i])
                              : series.numbers[i] * slot.factor + slot.offset);
  }
  return part_;
}

void AddPart(const RolePart& part, CheckInput& input) {
  if (input.length_s == 0) input.start = part.start;
  input.length_s = std::max(input.length_s, part.end_s);
  RoleSignal& signal = input.signals[part.signal];
  if (part.element >= signal.elements.size()) return;
  signal.absent += part.absent;
  signal.out_of_range += part.out_of_range;
  Track& track = signal.elements[part.element];
  const std::size_t before = track.size();
  for (std::size_t i = 0; i < part.value.size(); ++i) {
    if (signal.states.empty() || !SaysNothingNew(track, part.time_s[i], part.value[i])) {
      track.Add(part.time_s[i], part.value[i]);
    }
  }
  PutInOrder(track, before);
}

Result<CheckInput> ReadCheckInput(session::Reader& reader, const DefinitionSet& set) {
  if (set.definitions == nullptr) return CheckInput();
  InputTaker taker(*set.definitions);
  Pass pass(reader, set.definitions);
  pass.Add(taker);
  RETURN_IF_ERROR(pass.Run());
  return taker.Take();
}

}  // namespace proofdrive::analysis
