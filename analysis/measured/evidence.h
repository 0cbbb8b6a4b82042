// What would settle how right a guessed definition is, by the role of the signal.
#pragma once

#include <string>
#include <vector>

#include "decoders/model/definitions.h"

namespace proofdrive::analysis {

struct WouldSettle {
  std::string evidence;              // "a multimeter at the 12 V battery"
  bool can_be_noted = false;         // with `proofdrive measured`
  bool high_voltage = false;         // for trained people only
  std::vector<std::string> signals;  // in order of definition
};

struct Guesses {
  std::vector<WouldSettle> with_role;  // those of one kind of evidence together
  std::size_t without_role = 0;        // guesses no check uses
  std::size_t count = 0;               // signals with a role that are guesses or from a survey
  std::size_t of = 0;                  // signals with a role
  std::size_t warnings = 0;            // whose own conditions are guesses or from a survey
};

Guesses GuessesOf(const decoders::Definitions& definitions);

}  // namespace proofdrive::analysis
