#include "analysis/stretches/merged_results.h"

#include <algorithm>
#include <utility>

#include "analysis/checking/draft.h"
#include "analysis/checking/guesses.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

constexpr std::size_t kMostAlarms = 5;

constexpr std::string_view kOfTheWhole[] = {"insulation", "capacity", "standby"};

// What says most comes first: an alarm, then an answer, then none.
int Rank(CheckStatus status) {
  switch (status) {
    case CheckStatus::kOutside:
      return 0;
    case CheckStatus::kLookCloser:
      return 1;
    case CheckStatus::kWithin:
      return 2;
    case CheckStatus::kCannotTell:
      break;
  }
  return 3;
}

bool IsAlarm(CheckStatus status) { return Rank(status) < 2; }

std::string Between(const Interval& time) {
  return "between " + SpokenSeconds(time.from_s) + " and " + SpokenSeconds(time.to_s);
}

void Unite(const std::vector<Footing>& from, std::vector<Footing>& to) {
  for (const Footing& one : from) {
    const auto known = std::find_if(to.begin(), to.end(),
                                    [&](const Footing& other) { return other.name == one.name; });
    if (known == to.end()) {
      to.push_back(one);
    } else {
      known->known_from = std::max(known->known_from, one.known_from);
    }
  }
}

void Unite(const std::vector<std::string>& from, std::vector<std::string>& to) {
  for (const std::string& one : from) {
    if (std::find(to.begin(), to.end(), one) == to.end()) to.push_back(one);
  }
}

// The same roles in every stretch; one may have brought values in another.
void Unite(const std::vector<RoleUse>& from, std::vector<RoleUse>& to) {
  for (const RoleUse& one : from) {
    const auto known = std::find_if(to.begin(), to.end(), [&](const RoleUse& other) {
      return other.role == one.role && (other.needed || one.needed || other.signals == one.signals);
    });
    if (known == to.end()) {
      to.push_back(one);
    } else {
      Unite(one.signals, known->signals);
    }
  }
}

}  // namespace

bool IsOfTheWhole(std::string_view check) {
  return std::find(std::begin(kOfTheWhole), std::end(kOfTheWhole), check) != std::end(kOfTheWhole);
}

// Those of the rows of these checks in AllChecks; a test compares them.
const std::vector<decoders::RoleName>& RolesOfTheWhole() {
  static const std::vector<decoders::RoleName> roles = {"isolation resistance",
                                                        "positive voltage to body",
                                                        "negative voltage to body",
                                                        "pack voltage",
                                                        "cell voltages",
                                                        "contactor state",
                                                        "charge state",
                                                        "cell temperatures",
                                                        "pack current",
                                                        "balancing",
                                                        "vehicle speed",
                                                        "state of charge",
                                                        "odometer"};
  return roles;
}

void MergedResults::Add(const Interval& time, std::vector<CheckResult> results) {
  ++stretches_;
  const bool first = merged_.empty();
  if (first) merged_.resize(results.size());
  for (std::size_t i = 0; i < merged_.size() && i < results.size(); ++i) {
    Take(time, std::move(results[i]), merged_[i]);
  }
}

void MergedResults::Take(const Interval& time, CheckResult result, Merged& merged) const {
  Unite(result.stands_on, merged.stands_on);
  Unite(result.roles, merged.roles);
  Unite(result.measured, merged.measured);
  merged.within += result.status == CheckStatus::kWithin ? 1 : 0;
  if (IsAlarm(result.status)) {
    ++merged.all_alarms;
    if (merged.alarms.size() < kMostAlarms) {
      merged.alarms.push_back({time, result.status, result.summary});
    }
  }
  if (stretches_ > 1 && Rank(result.status) >= Rank(merged.worst.status)) return;
  merged.worst = std::move(result);
  merged.time = time;
}

// Not shorter than what it is: nothing may read as more exact than it is.
std::string MergedResults::HowJudged(const ThinnedUse& use, bool whole) const {
  std::string text = "the recording is too long to be judged at once: " + FormatCount(stretches_) +
                     " stretches of it were judged one after the other, each with every value";
  if (whole) {
    text += "; what lasts longer was judged with " + FormatCount(use.kept) + " of " +
            FormatCount(use.values) + " values";
  }
  return text;
}

CheckResult MergedResults::FinishOne(Merged merged, const CheckResult* whole) const {
  const bool by_whole = whole != nullptr && (!IsAlarm(merged.worst.status) ||
                                             Rank(whole->status) < Rank(merged.worst.status));
  CheckResult result = by_whole ? *whole : std::move(merged.worst);
  std::vector<std::string> more;
  for (const Said& said : merged.alarms) {
    if (!by_whole && said.time.from_s == merged.time.from_s) continue;
    more.push_back(Between(said.time) + ": " + said.summary);
  }
  if (merged.all_alarms > merged.alarms.size()) {
    more.push_back("the same or another in " +
                   FormatCount(merged.all_alarms - merged.alarms.size()) +
                   " more of the stretches");
  }
  if (!by_whole && IsAlarm(result.status)) {
    result.summary = Between(merged.time) + ": " + result.summary;
  } else if (!by_whole && result.status == CheckStatus::kWithin) {
    result.summary += ", " + Between(merged.time) + "; " + FormatCount(merged.within) + " of " +
                      FormatCount(stretches_) + " stretches are within limits, none is outside";
  }
  if (whole != nullptr && !by_whole) more.push_back("as a whole: " + whole->summary);
  result.findings.insert(result.findings.begin(), more.begin(), more.end());
  if (!by_whole && !result.figures.empty()) {
    result.findings.push_back("figures and plots are those " + Between(merged.time));
  }
  result.stands_on = std::move(merged.stands_on);
  result.roles = std::move(merged.roles);
  result.measured = std::move(merged.measured);
  result.proviso.clear();
  return result;
}

std::vector<CheckResult> MergedResults::Finish(std::vector<CheckResult> whole,
                                               const ThinnedUse& use) {
  std::vector<CheckResult> results;
  for (std::size_t i = 0; i < merged_.size(); ++i) {
    const bool too = i < whole.size() && IsOfTheWhole(whole[i].name);
    if (too) Unite(whole[i].measured, merged_[i].measured);
    results.push_back(FinishOne(std::move(merged_[i]), too ? &whole[i] : nullptr));
    results.back().findings.push_back(HowJudged(use, too));
  }
  AddProvisos(results);
  return results;
}

}  // namespace proofdrive::analysis
