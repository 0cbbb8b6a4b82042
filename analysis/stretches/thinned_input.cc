#include "analysis/stretches/thinned_input.h"

#include <algorithm>
#include <utility>

namespace proofdrive::analysis {
namespace {

// Values of 16 bytes that one element may keep; after thinning it has half of them.
constexpr std::size_t kMostCurrent = 1 << 18;
constexpr std::size_t kMostScalar = 1 << 14;
constexpr std::size_t kMostOfSeries = 1 << 12;
// Beyond that in one block of a session; rarely more.
constexpr std::size_t kMostAtOnce = 1 << 11;
// A mean over a longer silence would be one of two different times.
constexpr double kMostSilence_s = 2;

}  // namespace

ThinnedInput::ThinnedInput(std::vector<RoleSignal> empty,
                           const std::vector<decoders::RoleName>& roles) {
  input_.signals = std::move(empty);
  for (RoleSignal& signal : input_.signals) {
    Kept kept;
    kept.elements.resize(signal.elements.size());
    const bool wanted = std::any_of(roles.begin(), roles.end(),
                                    [&](const auto& role) { return signal.role == role; });
    if (wanted) {
      const bool current = signal.role == decoders::RoleName("pack current");
      kept.how = !signal.states.empty() ? How::kChanges : current ? How::kMeans : How::kEvery;
      kept.most = current ? kMostCurrent : signal.is_series ? kMostOfSeries : kMostScalar;
      for (Track& track : signal.elements) {
        track.time_s.reserve(kept.most + kMostAtOnce);
        track.value.reserve(kept.most + kMostAtOnce);
      }
    }
    kept_.push_back(std::move(kept));
  }
}

void ThinnedInput::AddEvery(double at_s, double value, Element& element, Track& track) {
  if (element.count++ % element.every == 0) track.Add(at_s, value);
}

void ThinnedInput::AddChange(double at_s, double value, Element& element, Track& track) {
  const bool same = !track.empty() && track.value.back() == value;
  if (!same || at_s - track.time_s.back() >= element.same_every_s) track.Add(at_s, value);
}

void ThinnedInput::FinishMean(Element& element, Track& track) {
  if (element.count == 0) return;
  const auto count = static_cast<double>(element.count);
  track.Add(element.sum_at / count, element.sum / count);
  element.count = 0;
  element.sum = element.sum_at = 0;
}

void ThinnedInput::AddMean(double at_s, double value, Element& element, Track& track) {
  if (at_s - element.last_at > kMostSilence_s) FinishMean(element, track);
  element.last_at = at_s;
  ++element.count;
  element.sum += value;
  element.sum_at += at_s;
  if (element.count == element.every) FinishMean(element, track);
}

// In place: the memory that was asked for at the start is all it ever needs. Of means two
// neighbours become one, but for those that lie apart.
void ThinnedInput::Halve(How how, Element& element, Track& track) {
  element.every *= 2;
  element.same_every_s *= 2;
  std::vector<double>& times = track.time_s;
  std::vector<double>& values = track.value;
  std::size_t kept = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    double at = times[i], value = values[i];
    if (how == How::kEvery && i % 2 != 0) continue;
    if (how == How::kChanges && kept > 0 && values[kept - 1] == value &&
        at - times[kept - 1] < element.same_every_s) {
      continue;
    }
    if (how == How::kMeans && i + 1 < values.size() && times[i + 1] - at <= kMostSilence_s) {
      ++i;
      at = (at + times[i]) / 2;
      value = (value + values[i]) / 2;
    }
    times[kept] = at;
    values[kept++] = value;
  }
  times.resize(kept);
  values.resize(kept);
}

void ThinnedInput::Add(const RolePart& part) {
  seen_ += part.value.size();
  if (input_.length_s == 0) input_.start = part.start;
  input_.length_s = std::max(input_.length_s, part.end_s);
  RoleSignal& signal = input_.signals[part.signal];
  if (part.element >= signal.elements.size()) return;
  signal.absent += part.absent;
  signal.out_of_range += part.out_of_range;
  Kept& kept = kept_[part.signal];
  if (kept.how == How::kNot) return;
  Element& element = kept.elements[part.element];
  Track& track = signal.elements[part.element];
  for (std::size_t i = 0; i < part.value.size(); ++i) {
    const double at = part.time_s[i], value = part.value[i];
    if (!track.empty() && at < track.time_s.back()) continue;  // late by some milliseconds
    if (kept.how == How::kEvery) AddEvery(at, value, element, track);
    if (kept.how == How::kChanges) AddChange(at, value, element, track);
    if (kept.how == How::kMeans) AddMean(at, value, element, track);
  }
  if (track.size() > kept.most) Halve(kept.how, element, track);
}

std::uint64_t ThinnedInput::kept() const {
  std::uint64_t sum = 0;
  for (const RoleSignal& signal : input_.signals) {
    for (const Track& track : signal.elements) sum += track.size();
  }
  return sum;
}

CheckInput ThinnedInput::Take() {
  for (std::size_t i = 0; i < kept_.size(); ++i) {
    for (std::size_t k = 0; k < kept_[i].elements.size(); ++k) {
      if (kept_[i].how == How::kMeans) {
        FinishMean(kept_[i].elements[k], input_.signals[i].elements[k]);
      }
    }
  }
  return std::move(input_);
}

}  // namespace proofdrive::analysis
