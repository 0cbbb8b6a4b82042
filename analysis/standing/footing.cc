#include "analysis/standing/footing.h"

#include <algorithm>

#include "analysis/session/warning_sources.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::KnownFrom;

// A sentence stays one with this many names in it.
constexpr std::size_t kMostNames = 3;

std::vector<Footing> KnownAs(std::span<const Footing> stands_on, KnownFrom known_from) {
  std::vector<Footing> found;
  for (const Footing& one : stands_on) {
    if (one.known_from == known_from) found.push_back(one);
  }
  return found;
}

// "a", "a and b", "a, b, c and 4 more".
std::string Names(const std::vector<Footing>& list) {
  std::vector<std::string> names;
  for (const Footing& one : list) names.push_back(one.name);
  if (names.size() > kMostNames + 1) {
    const std::size_t more = names.size() - kMostNames;
    names.resize(kMostNames);
    names.push_back(std::to_string(more) + " more");
  }
  if (names.size() == 1) return names.front();
  return Join(std::span(names).first(names.size() - 1), ", ") + " and " + names.back();
}

std::string IfRight(const std::vector<Footing>& guesses) {
  const bool scales =
      std::all_of(guesses.begin(), guesses.end(), [](const Footing& one) { return one.is_number; });
  const bool one = guesses.size() == 1;
  return std::string(", if the ") + (scales ? "scale" : "definition") + (one ? "" : "s") + " of " +
         Names(guesses) + (one ? " is right: it is a guess" : " are right: they are guesses");
}

}  // namespace

Footing FootingOf(const decoders::Signal& signal) {
  const bool text = signal.encoding == decoders::Encoding::kText;
  return {signal.name, signal.known_from, signal.states.empty() && !text};
}

std::vector<Footing> FootingOf(const decoders::Definitions& definitions,
                               const decoders::Warning& warning) {
  std::string conditions = warning.when.text;
  if (warning.only_while) conditions += " " + warning.only_while->text;
  if (warning.proven_by) conditions += " " + warning.proven_by->condition.text;
  std::vector<Footing> stands_on;
  for (const std::uint32_t signal : SignalsIn(definitions, conditions)) {
    stands_on.push_back(FootingOf(definitions.signals[signal]));
  }
  stands_on.push_back({warning.name, warning.known_from, false});
  return stands_on;
}

std::string ProvisoOf(std::span<const Footing> stands_on) {
  const std::vector<Footing> guesses = KnownAs(stands_on, KnownFrom::kGuess);
  const std::vector<Footing> surveyed = KnownAs(stands_on, KnownFrom::kSurvey);
  std::string text = guesses.empty() ? "" : IfRight(guesses);
  if (surveyed.empty()) return text;
  return text + "; " + Names(surveyed) +
         (surveyed.size() == 1 ? " is known from a survey" : " are known from a survey");
}

bool AnyGuess(std::span<const Footing> stands_on) {
  return !KnownAs(stands_on, KnownFrom::kGuess).empty();
}

void CommonFooting::Add(std::span<const Footing> stands_on) {
  for (const Footing& one : stands_on) {
    const bool known = std::any_of(all_.begin(), all_.end(),
                                   [&](const Footing& other) { return other.name == one.name; });
    if (!known) all_.push_back(one);
  }
}

bool CommonFooting::IsAllGuesses() const {
  return all_.size() > 1 && KnownAs(all_, KnownFrom::kGuess).size() == all_.size();
}

std::string CommonFooting::Sentence(std::string_view definitions, std::string_view answers) const {
  if (!IsAllGuesses()) return "";
  return "All " + FormatCount(all_.size()) + " " + std::string(definitions) + " these " +
         std::string(answers) +
         " use are guesses: what follows holds only if their definitions are right.";
}

}  // namespace proofdrive::analysis
