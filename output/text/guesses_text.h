// How sure definitions are, and what would settle the guesses: for `lint`.
#pragma once

#include <string>

#include "decoders/model/definitions.h"

namespace proofdrive::output {

// Empty when no signal with a role and no warning is a guess or known from a survey.
std::string FormatGuesses(const decoders::Definitions& definitions);

}  // namespace proofdrive::output
