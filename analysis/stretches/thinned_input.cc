#include "analysis/stretches/thinned_input.h"

#include <algorithm>
#include <utility>

namespace proofdrive::analysis {
namespace {

// Values of 16 bytes that one element may keep; after thinning it has about half of them.
constexpr std::size_t kMostCurrent = 1 << 18;
constexpr std::size_t kMostScalar = 1 << 13;
constexpr std::size_t kMostOfSeries = 1 << 12;
// States are needed at every change.
constexpr std::size_t kMostChanges = 1 << 16;
// A mean over a longer silence would be one of two different times.
constexpr double kMostSilence_s = 2;
// What was sent last before a silence and first after it is kept: a network that sleeps.
constexpr double kSilence_s = 10;
constexpr double kSilenceShare = 8;  // times the mean distance of what is kept
constexpr double kShrunk = 0.75;     // of its most; otherwise thinning did not help

}  // namespace

ThinnedInput::ThinnedInput(std::vector<RoleSignal> empty) {
  input_.part = CheckInput::Part::kThinned;
  input_.signals = std::move(empty);
  for (const RoleSignal& signal : input_.signals) {
    Element element;
    const bool current = signal.role == decoders::RoleName("pack current");
    element.how = !signal.states.empty() ? How::kChanges : current ? How::kMeans : How::kEvery;
    element.most = current ? kMostCurrent : signal.is_series ? kMostOfSeries : kMostScalar;
    element.most_silence_s = kMostSilence_s;
    elements_.emplace_back(signal.elements.size(), element);
  }
}

void ThinnedInput::AddLast(Element& element, Track& track) {
  if (element.any && !track.empty() && track.time_s.back() < element.last_at) {
    track.Add(element.last_at, element.last);
  }
}

void ThinnedInput::AddEvery(double at_s, double value, Element& element, Track& track) {
  if (element.any && at_s - element.last_at > kSilence_s) {
    AddLast(element, track);
    element.count = 0;
  }
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
  ++element.count;
  element.sum += value;
  element.sum_at += at_s;
  if (element.count >= element.every) FinishMean(element, track);
}

// In place. Of means two neighbours become one, but for those that lie apart.
void ThinnedInput::Halve(Element& element, Track& track) {
  element.every *= 2;
  element.same_every_s *= 2;
  std::vector<double>& times = track.time_s;
  std::vector<double>& values = track.value;
  const std::size_t size = values.size();
  const double mean_s = (times.back() - times.front()) / static_cast<double>(size);
  const double silence = std::max(kSilence_s, kSilenceShare * mean_s);
  std::size_t kept = 0;
  double before = times.front();  // of what was there
  for (std::size_t i = 0; i < size; ++i) {
    double at = times[i], value = values[i];
    const bool wakes = at - before > silence;
    before = at;
    const bool sleeps = i + 1 < size && times[i + 1] - at > silence;
    if (element.how == How::kEvery && i % 2 != 0 && !wakes && !sleeps) continue;
    if (element.how == How::kChanges && kept > 0 && values[kept - 1] == value &&
        at - times[kept - 1] < element.same_every_s) {
      continue;
    }
    if (element.how == How::kMeans && i + 1 < size && times[i + 1] - at <= element.most_silence_s) {
      ++i;
      before = times[i];
      at = (at + times[i]) / 2;
      value = (value + values[i]) / 2;
    }
    times[kept] = at;
    values[kept++] = value;
  }
  times.resize(kept);
  values.resize(kept);
}

// States that change are never left out, but for one that changes all the time.
void ThinnedInput::Shrink(Element& element, Track& track) {
  Halve(element, track);
  if (static_cast<double>(track.size()) < kShrunk * static_cast<double>(element.most)) return;
  if (element.how == How::kMeans) element.most_silence_s *= 2;
  if (element.how != How::kChanges) return;
  if (element.most < kMostChanges) {
    element.most *= 2;
    return;
  }
  element.given_up = true;
  track = Track();
}

void ThinnedInput::Add(const RolePart& part) {
  seen_ += part.value.size();
  if (input_.length_s == 0) input_.start = part.start;
  input_.length_s = std::max(input_.length_s, part.end_s);
  RoleSignal& signal = input_.signals[part.signal];
  if (part.element >= signal.elements.size()) return;
  signal.absent += part.absent;
  signal.out_of_range += part.out_of_range;
  Element& element = elements_[part.signal][part.element];
  if (element.given_up) return;
  Track& track = signal.elements[part.element];
  for (std::size_t i = 0; i < part.value.size(); ++i) {
    const double at = part.time_s[i], value = part.value[i];
    if (element.any && at < element.last_at) continue;  // late by some milliseconds
    if (element.how == How::kEvery) AddEvery(at, value, element, track);
    if (element.how == How::kChanges) AddChange(at, value, element, track);
    if (element.how == How::kMeans) AddMean(at, value, element, track);
    element.any = true;
    element.last = value;
    element.last_at = at;
  }
  if (track.size() > element.most) Shrink(element, track);
}

std::uint64_t ThinnedInput::kept() const {
  std::uint64_t sum = 0;
  for (const RoleSignal& signal : input_.signals) {
    for (const Track& track : signal.elements) sum += track.size();
  }
  return sum;
}

CheckInput ThinnedInput::Take() {
  for (std::size_t i = 0; i < elements_.size(); ++i) {
    RoleSignal& signal = input_.signals[i];
    for (std::size_t k = 0; k < elements_[i].size(); ++k) {
      Element& element = elements_[i][k];
      if (element.how == How::kMeans) FinishMean(element, signal.elements[k]);
      if (element.how != How::kMeans) AddLast(element, signal.elements[k]);
      if (!element.given_up) continue;
      signal.unusable = "changes too often to be judged over so long a recording";
      signal.not_understood = true;
    }
  }
  return std::move(input_);
}

}  // namespace proofdrive::analysis
