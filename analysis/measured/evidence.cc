#include "analysis/measured/evidence.h"

#include <algorithm>

#include "analysis/measured/quantity.h"
#include "decoders/model/roles.h"

namespace proofdrive::analysis {
namespace {

struct EvidenceRow {
  decoders::RoleName role;
  std::string_view evidence;
};
// Where a person can see or measure the same.
constexpr EvidenceRow kEvidence[] = {
    {"isolation resistance", "an insulation tester at the pack"},
    {"pack voltage", "a meter at the pack, or the voltage a charger shows"},
    {"link voltage", "a meter at the pack, or the voltage a charger shows"},
    {"positive voltage to body", "a meter at the pack, or the voltage a charger shows"},
    {"negative voltage to body", "a meter at the pack, or the voltage a charger shows"},
    {"pack current", "a clamp meter, or the current a charger shows"},
    {"cell voltages", "a meter at one cell; that the cells add up to the pack says less"},
    {"supply voltage", "a multimeter at the 12 V battery"},
    {"vehicle speed", "the speed a satellite receiver shows while driving steadily"},
    {"odometer", "the number the cluster shows"},
    {"displayed range", "the number the cluster shows"},
    {"state of charge", "the number the cluster shows"}};

std::string_view EvidenceFor(const decoders::Signal& signal) {
  for (const EvidenceRow& row : kEvidence) {
    if (signal.role == row.role) return row.evidence;
  }
  const decoders::Role* role = decoders::FindRole(signal.role);
  if (role == nullptr || role->unit.empty() || !signal.states.empty()) {
    return "seeing or doing it at the car while recording, in every state";
  }
  if (role->unit == "degC") return "a thermometer there after a night of standing";
  return "an instrument, or what a tester shows at the same time";
}

WouldSettle& FindOrAdd(Guesses& guesses, const decoders::Signal& signal) {
  const std::string_view evidence = EvidenceFor(signal);
  const auto known = std::find_if(guesses.with_role.begin(), guesses.with_role.end(),
                                  [&](const WouldSettle& one) { return one.evidence == evidence; });
  if (known != guesses.with_role.end()) return *known;
  const decoders::Role* role = decoders::FindRole(signal.role);
  const bool number = role != nullptr && !role->unit.empty() && signal.states.empty();
  guesses.with_role.push_back(
      {std::string(evidence), number, number && IsHighVoltage(signal.role), {}});
  return guesses.with_role.back();
}

}  // namespace

Guesses GuessesOf(const decoders::Definitions& definitions) {
  Guesses guesses;
  for (const decoders::Signal& signal : definitions.signals) {
    const bool unproven = IsUnproven(signal.known_from);
    if (!signal.role.empty()) ++guesses.of;
    if (!unproven) continue;
    if (signal.role.empty()) {
      ++guesses.without_role;
      continue;
    }
    ++guesses.count;
    FindOrAdd(guesses, signal).signals.push_back(signal.name);
  }
  for (const decoders::Warning& warning : definitions.warnings) {
    if (IsUnproven(warning.known_from)) ++guesses.warnings;
  }
  return guesses;
}

}  // namespace proofdrive::analysis
