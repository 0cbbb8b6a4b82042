// SignalLines and SignalLead of comparison_words.h.
#include <algorithm>
#include <cctype>

#include "core/base/text.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using analysis::SignalChange;
using analysis::SignalComparison;

bool IsListed(const SignalComparison& one) {
  return one.change == SignalChange::kChanged || one.change == SignalChange::kOneSided ||
         !one.only_before.empty() || !one.only_after.empty();
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
  return analysis::FootingOf(comparison.after.definitions->signals[one.signal]);
}

// Of all that differ; else each says it of itself.
std::string AllGuesses(const Comparison& comparison) {
  analysis::CommonFooting common;
  for (const SignalComparison& one : comparison.signals) {
    const analysis::Footing footing[] = {FootingOf(comparison, one)};
    if (IsListed(one)) common.Add(footing);
  }
  return common.Sentence("signals", "changes");
}

}  // namespace

std::vector<SignalLine> SignalLines(const Comparison& comparison) {
  std::vector<SignalLine> lines;
  const bool told = !AllGuesses(comparison).empty();
  for (const SignalComparison& one : comparison.signals) {
    if (!IsListed(one)) continue;
    const analysis::Footing footing[] = {FootingOf(comparison, one)};
    lines.push_back({footing[0].name, std::string(SignalChangeName(one.change)),
                     told ? one.why : one.why + analysis::ProvisoOf(footing)});
  }
  return lines;
}

std::string SignalLead(const Comparison& comparison) {
  std::vector<std::string> parts;
  std::size_t rest = 0;
  for (const Kind& kind : kNotListed) {
    const auto count = static_cast<std::size_t>(std::count_if(
        comparison.signals.begin(), comparison.signals.end(),
        [&](const SignalComparison& one) { return one.change == kind.change && !IsListed(one); }));
    if (count > 0) parts.push_back(FormatCount(count) + " " + kind.words);
    rest += count;
  }
  std::string text = rest == 0 ? "each of them differs."
                     : rest == comparison.signals.size()
                         ? "none is shown to differ: " + Enumerate(parts) + "."
                         : "those that differ are listed; others: " + Enumerate(parts) + ".";
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
