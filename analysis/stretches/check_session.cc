#include "analysis/stretches/check_session.h"

#include <algorithm>
#include <utility>

#include "analysis/stretches/free_memory.h"
#include "decoders/signals/frame_index.h"

namespace proofdrive::analysis {
namespace {

// Beyond the even share of each signal, for stretches in which it is sent more often.
constexpr double kRoom = 1.25;

std::size_t CountValues(const std::vector<RoleSignal>& signals) {
  std::size_t sum = 0;
  for (const RoleSignal& signal : signals) {
    for (const Track& track : signal.elements) sum += track.size();
  }
  return sum;
}

// How many frames of each definition came.
std::vector<std::uint64_t> CountFrames(const session::Reader& reader,
                                       const decoders::Definitions& definitions) {
  const decoders::FrameIndex index(definitions, ChannelBuses(reader.header()));
  std::vector<std::uint64_t> frames(definitions.frames.size());
  for (const session::StreamInfo& stream : reader.streams()) {
    const int frame = index.Find(stream.key);
    if (frame >= 0) frames[static_cast<std::size_t>(frame)] += stream.frames;
  }
  return frames;
}

}  // namespace

CheckTaker::CheckTaker(const session::Reader& reader, const DefinitionSet& set,
                       const CheckSettings& settings, std::vector<session::Measurement> measured,
                       const StretchLimits& limits)
    : settings_(WithFacts(settings, set)),
      measured_(std::move(measured)),
      limits_(limits),
      roles_(*set.definitions),
      thinned_(roles_.Empty(), RolesOfTheWhole()) {
  const std::vector<std::uint64_t> frames = CountFrames(reader, *set.definitions);
  for (const std::uint32_t index : roles_.signals()) {
    const decoders::Signal& signal = set.definitions->signals[index];
    const auto frame = set.definitions->FindFrame(signal.frame);
    auto expected = static_cast<double>(frame ? frames[*frame] : 0);
    if (signal.is_series && signal.count > signal.per_page) {
      expected *= static_cast<double>(signal.per_page) / signal.count;
    }
    expected_.push_back(signal.states.empty() ? expected : 0);
    all_expected_ += expected_.back() * signal.count;
  }
  BeginStretch({});
}

// Room is asked for once: growing by doubling would cost as much again.
void CheckTaker::BeginStretch(const std::vector<RoleSignal>& before) {
  const auto most = static_cast<double>(MostValues());
  const double share = all_expected_ > most ? kRoom * most / all_expected_ : 1;
  input_.signals = roles_.Empty();
  for (std::size_t i = 0; i < input_.signals.size(); ++i) {
    RoleSignal& signal = input_.signals[i];
    const auto room = static_cast<std::size_t>(share * expected_[i]) + 1;
    for (std::size_t k = 0; k < signal.elements.size(); ++k) {
      Track& track = signal.elements[k];
      track.time_s.reserve(room);
      track.value.reserve(room);
      if (before.empty()) continue;
      const Track& tail = before[i].elements[k];
      track.time_s.insert(track.time_s.end(), tail.time_s.begin(), tail.time_s.end());
      track.value.insert(track.value.end(), tail.value.begin(), tail.value.end());
    }
  }
  values_ = CountValues(input_.signals);
}

std::size_t CheckTaker::MostValues() const {
  return merged_.stretches() == 0 ? limits_.most_whole : limits_.most;
}

void CheckTaker::OnSeries(const Series& part) {
  const RolePart& values = roles_.Read(part);
  values_ += values.value.size();
  AddPart(values, input_);
  thinned_.Add(values);
}

bool CheckTaker::OnEndOfStretch() {
  if (values_ <= MostValues()) return true;
  values_ = CountValues(input_.signals);  // states that stay are not kept
  if (values_ > MostValues()) Judge(false);
  return true;
}

// The last values of each signal, one at least.
std::vector<RoleSignal> CheckTaker::Tails() const {
  const double from = input_.length_s - limits_.overlap_s;
  std::vector<RoleSignal> tails = roles_.Empty();
  for (std::size_t i = 0; i < tails.size(); ++i) {
    for (std::size_t k = 0; k < tails[i].elements.size(); ++k) {
      const Track& track = input_.signals[i].elements[k];
      const auto first = std::lower_bound(track.time_s.begin(), track.time_s.end(), from);
      auto at = static_cast<std::size_t>(first - track.time_s.begin());
      if (at == track.size() && at > 0) --at;
      for (; at < track.size(); ++at) {
        tails[i].elements[k].Add(track.time_s[at], track.value[at]);
      }
    }
  }
  return tails;
}

// What was measured before the recording goes with the first stretch, what came after with the
// last.
std::vector<session::Measurement> CheckTaker::MeasuredNow(bool last) const {
  std::vector<session::Measurement> found;
  for (const session::Measurement& one : measured_) {
    const double at = ToSeconds(one.at - input_.start);
    const bool begun = merged_.stretches() == 0 || at >= from_s_;
    if (begun && (last || at < input_.length_s)) found.push_back(one);
  }
  return found;
}

void CheckTaker::Judge(bool last) {
  const std::vector<RoleSignal> tails = Tails();
  const Interval time = {from_s_, input_.length_s};
  const WallTime start = input_.start;
  input_.measured = MeasuredNow(last);
  merged_.Add(time, RunChecks(input_, settings_));
  from_s_ = std::max(0.0, time.to_s - limits_.overlap_s);
  input_ = CheckInput();
  ReturnFreeMemory();
  if (last) return;
  BeginStretch(tails);
  input_.start = start;
  input_.length_s = time.to_s;
}

std::vector<CheckResult> CheckTaker::Finish() {
  if (merged_.stretches() == 0) {
    input_.measured = measured_;
    std::vector<CheckResult> results = RunChecks(input_, settings_);
    input_ = CheckInput();
    ReturnFreeMemory();
    return results;
  }
  Judge(true);
  const ThinnedUse use{thinned_.seen(), thinned_.kept()};
  CheckInput whole = thinned_.Take();
  return merged_.Finish(RunChecks(whole, settings_), use);
}

Result<std::vector<CheckResult>> CheckSession(session::Reader& reader, const DefinitionSet& set,
                                              const CheckSettings& settings,
                                              std::vector<session::Measurement> measured,
                                              const Pass::Progress& progress) {
  if (set.definitions == nullptr) {
    CheckInput nothing;
    nothing.measured = std::move(measured);
    return RunChecks(nothing, WithFacts(settings, set));
  }
  CheckTaker taker(reader, set, settings, std::move(measured));
  Pass pass(reader, set.definitions);
  pass.Add(taker);
  RETURN_IF_ERROR(pass.Run(progress));
  return taker.Finish();
}

}  // namespace proofdrive::analysis
