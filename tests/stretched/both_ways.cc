#include "tests/stretched/both_ways.h"

#include <algorithm>
#include <utility>

#include "analysis/stretches/stretched_checks.h"
#include "tests/fleet/measure/check_input.h"

namespace proofdrive::fleet {
namespace {

using analysis::CheckInput;
using analysis::CheckResult;
using analysis::CheckStatus;
using analysis::RoleSignal;

constexpr double kBlock = 15;  // s that come at once, as reading a session gives it

bool IsAlarm(CheckStatus status) {
  return status == CheckStatus::kOutside || status == CheckStatus::kLookCloser;
}

Difference DifferenceOf(CheckStatus at_once, CheckStatus stretched) {
  if (IsAlarm(at_once) != IsAlarm(stretched)) {
    return IsAlarm(at_once) ? Difference::kLost : Difference::kInvented;
  }
  if (IsAlarm(at_once) || at_once == stretched) return Difference::kNone;
  return stretched == CheckStatus::kWithin ? Difference::kFalseWithin : Difference::kWithdrawn;
}

std::vector<RoleSignal> WithoutValues(const CheckInput& input) {
  std::vector<RoleSignal> signals;
  for (const RoleSignal& signal : input.signals) {
    RoleSignal empty = signal;
    for (analysis::Track& track : empty.elements) track = analysis::Track();
    signals.push_back(std::move(empty));
  }
  return signals;
}

std::size_t CountValues(const CheckInput& input) {
  std::size_t sum = 0;
  for (const RoleSignal& signal : input.signals) {
    for (const analysis::Track& track : signal.elements) sum += track.size();
  }
  return sum;
}

// The values of one element from `from` on, before `to`.
analysis::RolePart PartOf(const analysis::Track& track, double from, double to) {
  analysis::RolePart part;
  const auto first = std::lower_bound(track.time_s.begin(), track.time_s.end(), from);
  const auto last = std::lower_bound(first, track.time_s.end(), to);
  part.time_s.assign(first, last);
  part.value.assign(track.value.begin() + (first - track.time_s.begin()),
                    track.value.begin() + (last - track.time_s.begin()));
  if (!part.time_s.empty()) part.end_s = part.time_s.back();
  return part;
}

std::vector<CheckResult> Judge(const CheckInput& input, const Facts& facts, std::size_t most,
                               std::size_t& stretches) {
  analysis::ExpectedValues expected;
  expected.of_element.assign(input.signals.size(), 0);
  expected.all = static_cast<double>(CountValues(input));
  analysis::StretchLimits limits;
  limits.most_whole = limits.most = most;
  analysis::StretchedChecks checks(WithoutValues(input), SettingsOf(facts), {}, limits, expected);
  for (double from = 0; from <= input.length_s; from += kBlock) {
    for (std::size_t i = 0; i < input.signals.size(); ++i) {
      for (std::uint32_t k = 0; k < input.signals[i].elements.size(); ++k) {
        analysis::RolePart part = PartOf(input.signals[i].elements[k], from, from + kBlock);
        if (part.value.empty()) continue;
        part.signal = i;
        part.element = k;
        checks.Add(part);
      }
    }
    checks.EndOfBlock();
  }
  std::vector<CheckResult> results = checks.Finish();
  stretches = checks.stretches();
  return results;
}

}  // namespace

BothWays JudgeBothWays(Sent sent, const Facts& facts, double share) {
  const CheckInput input = InputOf(std::move(sent));
  BothWays both;
  both.values = CountValues(input);
  std::vector<CheckResult> at_once = Judge(input, facts, 2 * both.values + 1, both.stretches);
  const auto most = static_cast<std::size_t>(share * static_cast<double>(both.values));
  std::vector<CheckResult> stretched = Judge(input, facts, most, both.stretches);
  for (std::size_t i = 0; i < at_once.size(); ++i) {
    const Difference difference = DifferenceOf(at_once[i].status, stretched[i].status);
    both.answers.push_back(
        {at_once[i].name, std::move(at_once[i]), std::move(stretched[i]), difference});
  }
  return both;
}

Car DrivenMore(Car car, int times) {
  const std::vector<Stage> once = car.use.stages;
  std::vector<Stage> stages = {once.front()};
  for (int i = 0; i < times; ++i) {
    stages.insert(stages.end(), {{StageKind::kReady, 20},
                                 {StageKind::kDrive, 1200},
                                 {StageKind::kReady, 20},
                                 {StageKind::kRest, 3600}});
  }
  stages.insert(stages.end(), once.begin() + 1, once.end());
  car.use.stages = std::move(stages);
  return car;
}

}  // namespace proofdrive::fleet
