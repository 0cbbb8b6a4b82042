// What an answer stands on: the definitions it uses and how sure they are, and the words that an
// answer on a guess carries in its first sentence.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "decoders/model/definitions.h"
#include "decoders/model/known_from.h"

namespace proofdrive::analysis {

struct Footing {
  std::string name;  // of a signal or a warning
  decoders::KnownFrom known_from = decoders::KnownFrom::kGuess;
  bool is_number = false;  // its scale is what may be wrong
};

Footing FootingOf(const decoders::Signal& signal);
// The signals of all its conditions, then the warning itself.
std::vector<Footing> FootingOf(const decoders::Definitions& definitions,
                               const decoders::Warning& warning);

// What is added to a sentence that stands on these: ", if the scale of isolation_resistance is
// right: it is a guess"; "; pack_voltage is known from a survey". Empty when all are known better.
std::string ProvisoOf(std::span<const Footing> stands_on);

bool AnyGuess(std::span<const Footing> stands_on);

// All that a list of answers stands on, each definition once.
class CommonFooting {
 public:
  void Add(std::span<const Footing> stands_on);
  // Two or more, and nothing but guesses: said once instead of with each answer.
  bool IsAllGuesses() const;
  // "All 14 signals these answers use are guesses: each answer is only as right as its
  // definitions."; empty unless IsAllGuesses.
  std::string Sentence(std::string_view definitions, std::string_view answers) const;

 private:
  std::vector<Footing> all_;
};

}  // namespace proofdrive::analysis
