#include "analysis/checking/guesses.h"

#include <algorithm>

namespace proofdrive::analysis {
namespace {

CommonFooting CommonOf(std::span<const CheckResult> results) {
  CommonFooting common;
  for (const CheckResult& result : results) {
    if (result.status != CheckStatus::kCannotTell) common.Add(result.stands_on);
  }
  return common;
}

// Signals that behave are not proven to be what their definitions say.
std::string NotProven(std::span<const Footing> signals) {
  const auto count = std::count_if(signals.begin(), signals.end(),
                                   [](const Footing& one) { return IsUnproven(one.known_from); });
  if (count == 0) return "";
  return ", but " + std::to_string(count) + (count == 1 ? " of them is" : " of them are") +
         " only a guess or known from a survey";
}

std::string ProvisoOf(const CheckResult& result) {
  if (result.status == CheckStatus::kCannotTell) return "";
  if (result.name != kSignalsCheck) return ProvisoOf(result.stands_on);
  return result.status == CheckStatus::kWithin ? NotProven(result.stands_on) : "";
}

}  // namespace

std::vector<Footing> FootingOf(const CheckInput& input, std::span<const RoleUse> roles) {
  std::vector<Footing> stands_on;
  for (const RoleUse& role : roles) {
    for (const RoleSignal& signal : input.signals) {
      if (signal.role != role.role || !signal.unusable.empty() || !signal.received()) continue;
      const bool listed = std::any_of(stands_on.begin(), stands_on.end(),
                                      [&](const Footing& one) { return one.name == signal.name; });
      if (!listed) stands_on.push_back({signal.name, signal.known_from, signal.states.empty()});
    }
  }
  return stands_on;
}

void AddProvisos(std::span<CheckResult> results) {
  if (CommonOf(results).IsAllGuesses()) return;
  for (CheckResult& result : results) result.proviso = ProvisoOf(result);
}

std::shared_ptr<const decoders::Definitions> SettledBy(
    std::span<const CheckResult> results,
    const std::shared_ptr<const decoders::Definitions>& definitions) {
  const CheckResult* signals = SignalsResult(results);
  if (definitions == nullptr || signals == nullptr) return definitions;
  std::shared_ptr<decoders::Definitions> settled;
  for (const Footing& one : signals->stands_on) {
    const auto index = definitions->FindSignal(one.name);
    if (!index || definitions->signals[*index].known_from >= one.known_from) continue;
    if (settled == nullptr) settled = std::make_shared<decoders::Definitions>(*definitions);
    settled->signals[*index].known_from = one.known_from;
  }
  return settled == nullptr ? definitions : settled;
}

std::string AllGuessesSentence(std::span<const CheckResult> results) {
  return CommonOf(results).Sentence("signals", "answers");
}

std::size_t AnswersWithProviso(std::span<const CheckResult> results) {
  return static_cast<std::size_t>(
      std::count_if(results.begin(), results.end(),
                    [](const CheckResult& result) { return !result.proviso.empty(); }));
}

}  // namespace proofdrive::analysis
