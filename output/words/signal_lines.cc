// SignalLines and SignalLead of comparison_words.h.
#include <algorithm>
#include <cctype>

#include "analysis/checking/draft.h"
#include "core/base/text.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using analysis::SessionFindings;
using analysis::SignalChange;
using analysis::SignalComparison;
using analysis::SignalRecord;

bool Differs(const SignalComparison& one) {
  return one.change == SignalChange::kChanged || one.change == SignalChange::kOneSided ||
         !one.only_before.empty() || !one.only_after.empty();
}

const decoders::Signal& SignalOf(const Comparison& comparison, const SignalComparison& one) {
  return comparison.after.definitions->signals[one.signal];
}

// With a role it is always shown.
bool IsListed(const Comparison& comparison, const SignalComparison& one) {
  return Differs(one) || !SignalOf(comparison, one).role.empty();
}

struct Kind {
  SignalChange change;
  const char* words;
};
constexpr Kind kNotListed[] = {
    {SignalChange::kSame, "the same"},
    {SignalChange::kStates, "with the same states"},
    {SignalChange::kUnclear, "shown neither to differ nor to be the same"},
    {SignalChange::kTooFew, "with too few independent values"},
    {SignalChange::kNotComparable, "at different operating points"},
};

analysis::Footing FootingOf(const Comparison& comparison, const SignalComparison& one) {
  return analysis::FootingOf(SignalOf(comparison, one));
}

// Of all that differ; else each says it of itself.
std::string AllGuesses(const Comparison& comparison) {
  analysis::CommonFooting common;
  for (const SignalComparison& one : comparison.signals) {
    const analysis::Footing footing[] = {FootingOf(comparison, one)};
    if (Differs(one)) common.Add(footing);
  }
  return common.Sentence("signals", "changes");
}

std::string WithUnit(const std::string& number, const std::string& unit) {
  return unit.empty() ? number : number + " " + unit;
}

// "15.9 degC", "15.9 degC (12 to 19)" where it moved.
std::string TypicalText(const analysis::Typical& typical, const std::string& unit) {
  const std::string low = analysis::Spoken(typical.low), high = analysis::Spoken(typical.high);
  const std::string middle = WithUnit(analysis::Spoken(typical.middle), unit);
  return low == high ? middle : middle + " (" + low + " to " + high + ")";
}

// The states seen, those that were most of the time first.
constexpr std::size_t kMostStates = 3;
std::string StatesText(const decoders::Signal& signal, const SignalRecord& record) {
  std::vector<std::size_t> seen;
  for (std::size_t i = 0; i < record.state_counts.size(); ++i) {
    if (record.state_counts[i] > 0) seen.push_back(i);
  }
  std::stable_sort(seen.begin(), seen.end(), [&](std::size_t a, std::size_t b) {
    return record.state_counts[a] > record.state_counts[b];
  });
  std::vector<std::string> names;
  for (const std::size_t i : seen) {
    if (names.size() < kMostStates) names.push_back(signal.states[i].name);
  }
  const std::string more =
      seen.size() > kMostStates ? " and " + FormatCount(seen.size() - kMostStates) + " more" : "";
  return Join(names, ", ") + more;
}

std::string SideText(const SessionFindings& findings, const decoders::Signal& signal,
                     std::uint32_t index, const std::optional<analysis::Typical>& typical) {
  const SignalRecord& record = findings.signals[index];
  if (record.values == 0) return "not received";
  if (typical) return TypicalText(*typical, signal.unit);
  const std::string states = StatesText(signal, record);
  if (!states.empty()) return states;
  if (record.values == record.absent) return "absent";
  if (record.values == record.absent + record.out_of_range) return "out of range";
  return index < findings.texts.size() ? Join(findings.texts[index].texts, " ") : "";
}

std::string ChangeText(const SignalComparison& one) {
  switch (one.change) {
    case SignalChange::kTooFew:
      return one.why.starts_with("every ") ? one.why : "not sure: " + one.why;
    case SignalChange::kNotComparable:
      return "not compared: " + one.why;
    default:
      return one.why;
  }
}

// A check that has compared the figure behind the signal says more than its readings.
struct JudgedByCheck {
  const char* role;
  const char* check;
};
constexpr JudgedByCheck kJudged[] = {{"isolation resistance", "insulation"},
                                     {"cell voltages", "balance"},
                                     {"displayed range", "range"},
                                     {"coolant pump current", "cooling"}};

std::string TitleOfJudge(const Comparison& comparison, const std::string& role) {
  for (const JudgedByCheck& row : kJudged) {
    for (const analysis::CheckPair& pair : comparison.checks) {
      if (role != row.role || pair.name != row.check) continue;
      const bool told =
          std::any_of(pair.figures.begin(), pair.figures.end(),
                      [](const auto& figure) { return figure.is_main && figure.Changed(); });
      if (told) return pair.title;
    }
  }
  return "";
}

std::string Brief(const Comparison& comparison, const SignalComparison& one) {
  const std::string judge = TitleOfJudge(comparison, SignalOf(comparison, one).role);
  if (!judge.empty()) return "see " + judge;
  switch (one.change) {
    case SignalChange::kSame:
    case SignalChange::kStates:
      return "no";
    case SignalChange::kTooFew:
      return one.why.starts_with("one value") ? "no" : "not sure";
    case SignalChange::kNotComparable:
      return "not compared";
    default:
      return "not sure";
  }
}

}  // namespace

std::vector<SignalLine> SignalLines(const Comparison& comparison) {
  std::vector<SignalLine> lines;
  const bool told = !AllGuesses(comparison).empty();
  for (const bool differs : {true, false}) {
    for (const SignalComparison& one : comparison.signals) {
      if (Differs(one) != differs || !IsListed(comparison, one)) continue;
      const decoders::Signal& signal = SignalOf(comparison, one);
      const analysis::Footing footing[] = {FootingOf(comparison, one)};
      const bool proviso = differs && !told;
      lines.push_back({signal.name, SideText(comparison.before, signal, one.signal, one.before),
                       SideText(comparison.after, signal, one.signal, one.after),
                       ChangeText(one) + (proviso ? analysis::ProvisoOf(footing) : ""),
                       Brief(comparison, one)});
      if (differs) lines.back().brief = lines.back().change;
    }
  }
  return lines;
}

std::string SignalLead(const Comparison& comparison) {
  std::vector<std::string> parts;
  std::size_t rest = 0, differ = 0;
  for (const SignalComparison& one : comparison.signals) differ += Differs(one) ? 1U : 0U;
  for (const Kind& kind : kNotListed) {
    const auto count = static_cast<std::size_t>(std::count_if(
        comparison.signals.begin(), comparison.signals.end(),
        [&](const SignalComparison& one) { return one.change == kind.change && !Differs(one); }));
    if (count > 0) parts.push_back(FormatCount(count) + " " + kind.words);
    rest += count;
  }
  std::string text = rest == 0     ? "each of them differs."
                     : differ == 0 ? "none is shown to differ: " + Enumerate(parts) + "."
                                   : FormatCount(differ) + " of " +
                                         CountOf(comparison.signals.size(), "signal") +
                                         (differ == 1 ? " differs" : " differ") +
                                         " and come first; others: " + Enumerate(parts) + ".";
  text +=
      " Shown is the middle of the whole recording, and in brackets where 80 % of the time lay; by "
      "how much a signal differs is told of moments in which the car did the same.";
  const bool numbers = std::any_of(comparison.signals.begin(), comparison.signals.end(),
                                   [](const SignalComparison& one) { return one.is_of_numbers(); });
  const bool matched = std::any_of(comparison.signals.begin(), comparison.signals.end(),
                                   [](const SignalComparison& one) { return one.matched; });
  if (numbers && !matched) {
    text +=
        " No signal has a role that tells what the car did (pack current, vehicle speed, cell "
        "temperatures): numbers are compared over the whole recordings.";
  }
  const std::string guesses = AllGuesses(comparison);
  if (guesses.empty()) return text;
  text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
  return guesses + " " + text;
}

}  // namespace proofdrive::output
