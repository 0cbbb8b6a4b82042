#include "analysis/stretches/merged_results.h"

#include <algorithm>
#include <limits>
#include <utility>

#include "analysis/checking/draft.h"
#include "analysis/checking/guesses.h"
#include "analysis/checking/joined_places.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

constexpr std::size_t kMostAlarms = 5;
// An error this many times that of another stretch: together they would say what the other says.
constexpr double kLessKnown = 3;
constexpr double kUnknown = std::numeric_limits<double>::infinity();

// What says most comes first: an alarm, that something cannot be told, that all is within, nothing.
int Rank(const CheckResult& result) {
  switch (result.status) {
    case CheckStatus::kOutside:
      return 0;
    case CheckStatus::kLookCloser:
      return 1;
    case CheckStatus::kWithin:
      return 3;
    case CheckStatus::kCannotTell:
      break;
  }
  return result.nothing_judged ? 4 : 2;
}

bool IsAlarm(const CheckResult& result) { return Rank(result) < 2; }

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

bool HadWhatItNeeds(const CheckResult& result) {
  const std::string_view figure = HowIsJudged(result.name).figure;
  if (!figure.empty() && result.FindFigure(figure) == nullptr) return false;
  return std::all_of(result.roles.begin(), result.roles.end(),
                     [](const RoleUse& use) { return !use.needed || !use.signals.empty(); });
}

// Of the figure that tells how much a stretch knows.
std::optional<double> ErrorOf(const CheckResult& result) {
  const std::string_view name = HowIsJudged(result.name).known_by;
  const Figure* figure = name.empty() ? nullptr : result.FindFigure(name);
  return figure == nullptr ? std::nullopt : figure->uncertainty;
}

// Good news that does not hold.
void Withdraw(CheckResult& result, std::string why) {
  result.findings.insert(result.findings.begin(), std::move(result.summary));
  result.status = CheckStatus::kCannotTell;
  result.missing.push_back(why);
  result.summary = std::move(why);
}

void WithdrawWhereInDoubt(const std::vector<RoleInDoubt>& doubts, CheckResult& result) {
  if (result.name == kSignalsCheck) return;
  for (const RoleInDoubt& doubt : doubts) {
    const bool asks =
        std::any_of(result.roles.begin(), result.roles.end(), [&](const RoleUse& use) {
          return use.role == doubt.role && (use.needed || !doubt.only_needed);
        });
    if (!asks) continue;
    if (result.status == CheckStatus::kWithin) return Withdraw(result, doubt.why);
    if (IsAlarm(result))
      result.findings.insert(result.findings.begin(), "first of all: " + doubt.why);
  }
}

}  // namespace

void MergedResults::Add(const Interval& time, std::vector<CheckResult> results) {
  ++stretches_;
  if (merged_.empty()) merged_.resize(results.size());
  for (std::size_t i = 0; i < merged_.size() && i < results.size(); ++i) {
    Take(time, std::move(results[i]), merged_[i]);
  }
}

void MergedResults::Take(const Interval& time, CheckResult result, Merged& merged) const {
  Unite(result.stands_on, merged.stands_on);
  Unite(result.roles, merged.roles);
  Unite(result.measured, merged.measured);
  merged.within += result.status == CheckStatus::kWithin ? 1 : 0;
  const auto error = ErrorOf(result);
  if (result.status == CheckStatus::kWithin && error &&
      (!merged.best_error || *error < *merged.best_error)) {
    merged.best_error = error;
    merged.best = {time, result.summary};
  }
  if (IsAlarm(result)) {
    merged.alarm_error = std::min(merged.alarm_error.value_or(kUnknown), error.value_or(kUnknown));
    ++merged.all_alarms;
    if (merged.alarms.size() < kMostAlarms) merged.alarms.push_back({time, result.summary});
  }
  if (result.status == CheckStatus::kCannotTell && HadWhatItNeeds(result) &&
      merged.could_not++ == 0) {
    merged.first_could_not = {time, result.summary};
  }
  if (stretches_ > 1 && Rank(result) >= Rank(merged.worst)) return;
  merged.worst = std::move(result);
  merged.time = time;
}

// Not shorter than what it is: nothing may read as more exact than it is.
std::string MergedResults::HowItWas(const HowJudged& how, const ThinnedUse& use) const {
  std::string text = "the recording is too long to be judged at once";
  std::string sign = ": ";
  if (how.stretches) {
    text += sign + FormatCount(stretches_) +
            " stretches of it were judged one after the other, each with every value";
    sign = "; ";
  }
  if (how.whole) {
    text += sign + (how.stretches ? "what lasts longer" : "it") + " was judged with " +
            FormatCount(use.kept) + " of " + FormatCount(use.values) + " values";
  }
  return text;
}

// The worst of any stretch, with when that was.
CheckResult MergedResults::OfStretches(Merged& merged) const {
  CheckResult result = std::move(merged.worst);
  const HowJudged how = HowIsJudged(result.name);
  const std::string when = Between(merged.time);
  if (!result.figures.empty()) result.findings.push_back("figures and plots are those " + when);
  if (IsAlarm(result) && merged.best_error &&
      merged.alarm_error.value_or(kUnknown) > kLessKnown * *merged.best_error) {
    Withdraw(result, when + ": " + result.summary + "; but " + Between(merged.best.time) +
                         ", where more is known, " + merged.best.summary);
  } else if (IsAlarm(result)) {
    result.summary = when + ": " + result.summary;
  } else if (result.status == CheckStatus::kWithin && how.every_stretch && merged.could_not > 0) {
    Withdraw(result, Between(merged.first_could_not.time) + ": " + merged.first_could_not.summary);
  } else if (result.status == CheckStatus::kWithin) {
    result.summary += ", " + when + "; " + FormatCount(merged.within) + " of " +
                      FormatCount(stretches_) + " stretches are within limits, none is outside";
  }
  return result;
}

CheckResult MergedResults::FinishOne(Merged merged, CheckResult whole) const {
  const HowJudged how = HowIsJudged(merged.worst.name);
  if (!how.stretches) return whole;
  const Interval time = merged.time;
  CheckResult result = OfStretches(merged);
  std::vector<std::string> more;
  const bool by_whole =
      how.whole && (Rank(whole) < Rank(result) || (how.whole_decides && !IsAlarm(result)));
  // That a stretch could not tell is no good news either.
  const bool could_not = by_whole && whole.status == CheckStatus::kWithin && Rank(result) == 2;
  for (const Said& said : merged.alarms) {
    if (!by_whole && said.time.from_s == time.from_s) continue;
    more.push_back(Between(said.time) + ": " + said.summary);
  }
  if (merged.all_alarms > merged.alarms.size()) {
    more.push_back("the same or another in " +
                   FormatCount(merged.all_alarms - merged.alarms.size()) +
                   " more of the stretches");
  }
  if (how.whole && !by_whole) more.push_back("as a whole: " + whole.summary);
  const std::string why = could_not ? Between(time) + ": " + result.summary : "";
  if (by_whole) result = std::move(whole);
  if (could_not) Withdraw(result, why);
  result.findings.insert(result.findings.begin(), more.begin(), more.end());
  return result;
}

std::vector<CheckResult> MergedResults::Finish(std::vector<CheckResult> whole,
                                               const ThinnedUse& use,
                                               const std::vector<RoleInDoubt>& doubts) {
  std::vector<CheckResult> results;
  for (std::size_t i = 0; i < merged_.size() && i < whole.size(); ++i) {
    Merged& merged = merged_[i];
    Unite(whole[i].measured, merged.measured);
    Unite(whole[i].stands_on, merged.stands_on);
    Unite(whole[i].roles, merged.roles);
    std::vector<std::string> measured = std::move(merged.measured);
    std::vector<Footing> stands_on = std::move(merged.stands_on);
    std::vector<RoleUse> roles = std::move(merged.roles);
    CheckResult result = FinishOne(std::move(merged), std::move(whole[i]));
    result.stands_on = std::move(stands_on);
    result.roles = std::move(roles);
    result.measured = std::move(measured);
    result.proviso.clear();
    WithdrawWhereInDoubt(doubts, result);
    result.findings.push_back(HowItWas(HowIsJudged(result.name), use));
    results.push_back(std::move(result));
  }
  AddProvisos(results);
  JoinPlaces(results);
  return results;
}

}  // namespace proofdrive::analysis
