#include "analysis/stretches/stretched_checks.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "analysis/stretches/free_memory.h"

namespace proofdrive::analysis {
namespace {

// Beyond the even share of each signal, for stretches in which it is sent more often.
constexpr double kRoom = 1.25;
// Of the values of a stretch, from which on it ends at a rest: a long one, then a shorter one, in
// seconds. The long one shows how the link loses its charge (precharge.passive_s, 6 min).
constexpr double kLooksForRest = 0.6, kTakesShortRest = 0.9;
constexpr double kLongRest = 400, kShortRest = 150;
// The next stretch begins this long before such a rest, when that is not more than a share of it.
constexpr double kBeforeRest = 60;
constexpr std::size_t kTailShare = 6;

std::size_t CountValues(const std::vector<RoleSignal>& signals) {
  std::size_t sum = 0;
  for (const RoleSignal& signal : signals) {
    for (const Track& track : signal.elements) sum += track.size();
  }
  return sum;
}

}  // namespace

StretchedChecks::StretchedChecks(std::vector<RoleSignal> empty, CheckSettings settings,
                                 std::vector<session::Measurement> measured,
                                 const StretchLimits& limits, ExpectedValues expected)
    : empty_(std::move(empty)),
      settings_(std::move(settings)),
      measured_(std::move(measured)),
      limits_(limits),
      expected_(std::move(expected)),
      seen_(empty_.size()),
      thinned_(empty_) {
  const auto current = std::find_if(empty_.begin(), empty_.end(), [](const RoleSignal& signal) {
    return signal.role == decoders::RoleName("pack current");
  });
  current_ = static_cast<std::size_t>(current - empty_.begin());
  BeginStretch({});
}

// Room is asked for once: growing by doubling would cost as much again.
void StretchedChecks::BeginStretch(const std::vector<RoleSignal>& before) {
  const auto most = static_cast<double>(MostValues());
  const double share = expected_.all > most ? kRoom * most / expected_.all : 1;
  input_.signals = empty_;
  for (std::size_t i = 0; i < input_.signals.size(); ++i) {
    RoleSignal& signal = input_.signals[i];
    const double expected = i < expected_.of_element.size() ? expected_.of_element[i] : 0;
    const auto room = static_cast<std::size_t>(share * expected) + 1;
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

std::size_t StretchedChecks::MostValues() const {
  return merged_.stretches() == 0 ? limits_.most_whole : limits_.most;
}

void StretchedChecks::Add(const RolePart& part) {
  values_ += part.value.size();
  AddPart(part, input_);
  thinned_.Add(part);
}

// Since when no current flows, as far as it is known; the end when it does.
double StretchedChecks::RestingFrom() const {
  double from = input_.length_s;
  if (current_ >= input_.signals.size()) return from;
  const Track& current = input_.signals[current_].track();
  const double quiet = settings_.Get("rest.current");
  for (std::size_t i = current.size(); i > 0 && std::fabs(current.value[i - 1]) < quiet; --i) {
    from = current.time_s[i - 1];
  }
  return from;
}

// Only what is known to be too long ends before it must.
bool StretchedChecks::IsTimeToCut() const {
  const auto most = static_cast<double>(MostValues());
  const auto values = static_cast<double>(values_);
  if (values > most) return true;
  if (values < kLooksForRest * most) return false;
  if (merged_.stretches() == 0 && expected_.all <= most) return false;
  const double rest = input_.length_s - RestingFrom();
  return rest >= (values < kTakesShortRest * most ? kLongRest : kShortRest);
}

void StretchedChecks::EndOfBlock() {
  if (!IsTimeToCut()) return;
  values_ = CountValues(input_.signals);  // states that stay are not kept
  if (IsTimeToCut()) Judge(false);
}

// The last values of each signal, one at least.
std::vector<RoleSignal> StretchedChecks::TailsFrom(double from_s) const {
  std::vector<RoleSignal> tails = empty_;
  for (std::size_t i = 0; i < tails.size(); ++i) {
    for (std::size_t k = 0; k < tails[i].elements.size(); ++k) {
      const Track& track = input_.signals[i].elements[k];
      const auto first = std::lower_bound(track.time_s.begin(), track.time_s.end(), from_s);
      auto at = static_cast<std::size_t>(first - track.time_s.begin());
      if (at == track.size() && at > 0) --at;
      for (; at < track.size(); ++at) {
        tails[i].elements[k].Add(track.time_s[at], track.value[at]);
      }
    }
  }
  return tails;
}

// A rest that has just begun is in the next stretch as a whole.
std::vector<RoleSignal> StretchedChecks::Tails() const {
  const double overlap = input_.length_s - limits_.overlap_s;
  const double rest = RestingFrom() - kBeforeRest;
  if (rest < overlap) {
    std::vector<RoleSignal> tails = TailsFrom(rest);
    if (CountValues(tails) <= limits_.most / kTailShare) return tails;
  }
  return TailsFrom(overlap);
}

// What was measured before the recording goes with the first stretch, what came after with the
// last.
std::vector<session::Measurement> StretchedChecks::MeasuredNow(bool last) const {
  std::vector<session::Measurement> found;
  for (const session::Measurement& one : measured_) {
    const double at = ToSeconds(one.at - input_.start);
    const bool begun = merged_.stretches() == 0 || at >= from_s_;
    if (begun && (last || at < input_.length_s)) found.push_back(one);
  }
  return found;
}

// After the checks have run.
void StretchedChecks::NoteUnusable() {
  for (std::size_t i = 0; i < seen_.size(); ++i) {
    const RoleSignal& signal = input_.signals[i];
    if (!signal.received()) continue;
    ++seen_[i].received;
    if (!signal.unusable.empty()) ++seen_[i].unusable;
    if (signal.unusable.empty()) continue;
    if (signal.jumps && seen_[i].jumps++ == 0) seen_[i].why_jumps = signal.unusable;
    if (signal.disputed && seen_[i].disputed++ == 0) seen_[i].why_disputed = signal.unusable;
  }
}

void StretchedChecks::Judge(bool last) {
  std::vector<RoleSignal> tails;
  if (!last) tails = Tails();
  const double next_from = std::max(0.0, input_.length_s - limits_.overlap_s);
  const Interval time = {from_s_, input_.length_s};
  const WallTime start = input_.start;
  input_.measured = MeasuredNow(last);
  input_.part = last ? CheckInput::Part::kLastStretch : CheckInput::Part::kStretch;
  std::vector<CheckResult> results = RunChecks(input_, settings_);
  NoteUnusable();
  merged_.Add(time, std::move(results));
  from_s_ = next_from;
  input_ = CheckInput();
  ReturnFreeMemory();
  if (last) return;
  BeginStretch(tails);
  input_.start = start;
  input_.length_s = time.to_s;
}

// What fewer values do not show, in most stretches: jumps, and definitions that contradict each
// other.
void StretchedChecks::RejectLikeStretches(CheckInput& whole) const {
  for (std::size_t i = 0; i < seen_.size(); ++i) {
    RoleSignal& signal = whole.signals[i];
    const Seen& seen = seen_[i];
    if (!signal.unusable.empty()) continue;
    if (2 * seen.disputed > seen.received) {
      signal.unusable = seen.why_disputed;
      signal.disputed = true;
    } else if (2 * seen.jumps > seen.received) {
      signal.unusable = seen.why_jumps;
    }
  }
}

// In doubt is what only the whole rejects, which stretches have used; and what some stretches
// dispute.
std::vector<CheckResult> StretchedChecks::JudgeWhole(std::vector<RoleInDoubt>& doubts) {
  CheckInput whole = thinned_.Take();
  RejectLikeStretches(whole);
  std::vector<CheckResult> results = RunChecks(whole, settings_);
  for (std::size_t i = 0; i < seen_.size(); ++i) {
    const RoleSignal& signal = whole.signals[i];
    const Seen& seen = seen_[i];
    if (seen.disputed > 0) {
      doubts.push_back({signal.role, signal.name + " " + seen.why_disputed});
      continue;
    }
    if (2 * seen.jumps > seen.received) {
      doubts.push_back({signal.role, signal.name + " " + seen.why_jumps, true});
    }
    const bool usable = signal.unusable.empty() || seen.jumps > 0 || seen.unusable == seen.received;
    const bool another =
        std::any_of(whole.signals.begin(), whole.signals.end(), [&](const RoleSignal& other) {
          return other.role == signal.role && other.unusable.empty() && other.received();
        });
    if (!usable && !another) doubts.push_back({signal.role, signal.name + " " + signal.unusable});
  }
  return results;
}

std::vector<CheckResult> StretchedChecks::Finish() {
  if (merged_.stretches() == 0) {
    input_.measured = measured_;
    std::vector<CheckResult> results = RunChecks(input_, settings_);
    input_ = CheckInput();
    ReturnFreeMemory();
    return results;
  }
  Judge(true);
  const ThinnedUse use{thinned_.seen(), thinned_.kept()};
  std::vector<RoleInDoubt> doubts;
  std::vector<CheckResult> whole = JudgeWhole(doubts);
  return merged_.Finish(std::move(whole), use, doubts);
}

}  // namespace proofdrive::analysis
