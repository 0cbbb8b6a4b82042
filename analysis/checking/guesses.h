// How sure the definitions under the answers of checks are, told with each answer or once for all.
#pragma once

#include <cstddef>
#include <memory>
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

// The same definitions, with what measurements settled in these results counted as known from them.
// `results`: of one RunChecks, or none.
std::shared_ptr<const decoders::Definitions> SettledBy(
    std::span<const CheckResult> results,
    const std::shared_ptr<const decoders::Definitions>& definitions);

// "All 14 signals these answers use are guesses: ..."; empty when that is not so.
std::string AllGuessesSentence(std::span<const CheckResult> results);

// Answers with a proviso.
std::size_t AnswersWithProviso(std::span<const CheckResult> results);

}  // namespace proofdrive::analysis
