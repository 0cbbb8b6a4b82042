// How sure the definitions under the answers of checks are, told with each answer or once for all.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/checking/input.h"

namespace proofdrive::analysis {

// The usable signals of these roles, each once.
std::vector<Footing> FootingOf(const CheckInput& input, std::span<const RoleUse> roles);

// Sets CheckResult::proviso of every answer that stands on a guess or a survey. Those that cannot
// tell state nothing; when all that is used are guesses, AllGuessesSentence says it instead.
void AddProvisos(std::span<CheckResult> results);

// "All 14 signals these answers use are guesses: ..."; empty when that is not so.
std::string AllGuessesSentence(std::span<const CheckResult> results);

// Answers with a proviso.
std::size_t AnswersWithProviso(std::span<const CheckResult> results);

}  // namespace proofdrive::analysis
