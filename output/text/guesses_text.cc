#include "output/text/guesses_text.h"

#include "analysis/measured/evidence.h"
#include "core/base/text.h"
#include "output/sheet/table.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::Guesses;
using analysis::WouldSettle;

constexpr std::size_t kMostNames = 6;

std::string Names(std::vector<std::string> names) {
  if (names.size() > kMostNames + 1) {
    const std::size_t more = names.size() - kMostNames;
    names.resize(kMostNames);
    names.push_back(std::to_string(more) + " more");
  }
  return Enumerate(names);
}

std::string Lead(const Guesses& guesses) {
  std::string text = std::to_string(guesses.count) + " of " + CountOf(guesses.of, "signal") +
                     " with a role " + (guesses.count == 1 ? "is a guess" : "are guesses") +
                     " or from a survey";
  if (guesses.warnings > 0) {
    text += (guesses.warnings == 1 ? ", and the condition of " : ", and the conditions of ") +
            CountOf(guesses.warnings, "warning");
  }
  return text +
         ": what rests on them says so. Say what you know better with known from: "
         "(docs/definitions.md).";
}

std::string Line(const WouldSettle& one) {
  std::string text = Names(one.signals) + ": " + one.evidence;
  if (one.high_voltage) text += "; only for people trained for high voltage";
  return text;
}

}  // namespace

std::string FormatGuesses(const decoders::Definitions& definitions) {
  const Guesses guesses = analysis::GuessesOf(definitions);
  if (guesses.count == 0 && guesses.warnings == 0) return "";
  std::string text = Paragraph("", Lead(guesses));
  if (guesses.with_role.empty()) return text;
  text += "What would settle them (numbers are noted with: proofdrive measured):\n";
  for (const WouldSettle& one : guesses.with_role) text += Paragraph("  - ", Line(one));
  return text;
}

}  // namespace proofdrive::output
