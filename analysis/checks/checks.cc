#include "analysis/checks/checks.h"

#include <algorithm>

#include "analysis/agreement/definitions_check.h"
#include "analysis/checking/guesses.h"
#include "analysis/checking/joined_places.h"
#include "analysis/checking/plausibility.h"
#include "analysis/checks/balance_check.h"
#include "analysis/checks/capacity_check.h"
#include "analysis/checks/contactor_check.h"
#include "analysis/checks/cooling_check.h"
#include "analysis/checks/insulation_check.h"
#include "analysis/checks/interlock_check.h"
#include "analysis/checks/precharge_check.h"
#include "analysis/checks/range_check.h"
#include "analysis/checks/resistance_check.h"
#include "analysis/checks/standby_check.h"
#include "analysis/checks/supply_check.h"
#include "analysis/measured/measured.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

RoleUse UseOf(const CheckInput& input, std::string_view role, bool needed) {
  RoleUse use{std::string(role), needed, {}};
  for (const RoleSignal& signal : input.signals) {
    if (signal.role == role && signal.unusable.empty() && signal.received()) {
      use.signals.push_back(signal.name);
    }
  }
  return use;
}

// Why a needed role cannot be used: not described, silent, or found unusable.
std::string WhyMissing(const CheckInput& input, std::string_view role) {
  const std::string quoted = "a signal with role \"" + std::string(role) + "\"";
  for (const RoleSignal& signal : input.signals) {
    if (signal.role != role) continue;
    if (!signal.unusable.empty()) {
      return quoted + " that can be used (" + signal.name + " " + signal.unusable + ")";
    }
    return quoted + " that brings values (" + signal.name +
           (signal.absent > 0 ? " says that it has none)" : " was not received)");
  }
  return quoted + " (the definition files have none)";
}

// The first signal the check asks for whose states are not understood, or whose definition another
// one contradicts.
const RoleSignal* Unclear(const CheckRow& row, const CheckInput& input) {
  for (const RoleSignal& signal : input.signals) {
    if (!signal.not_understood && !signal.disputed) continue;
    const auto asks = [&](const decoders::RoleName& role) { return signal.role == role; };
    if (std::any_of(row.needs.begin(), row.needs.end(), asks) ||
        std::any_of(row.uses.begin(), row.uses.end(), asks)) {
      return &signal;
    }
  }
  return nullptr;
}

// What was left out could have said otherwise.
void WithdrawGoodNews(const RoleSignal& unclear, CheckResult& result) {
  if (result.status != CheckStatus::kWithin) return;
  result.findings.insert(result.findings.begin(), result.summary);
  result.status = CheckStatus::kCannotTell;
  result.summary = unclear.name + " " + unclear.unusable;
}

CheckResult RunOne(const CheckRow& row, const CheckInput& input, const CheckSettings& settings) {
  CheckDraft draft(input, settings);
  std::vector<RoleUse> roles;
  bool complete = true;
  for (const decoders::RoleName role : row.needs) {
    roles.push_back(UseOf(input, role, true));
    if (!roles.back().signals.empty()) continue;
    complete = false;
    draft.Missing(WhyMissing(input, role));
  }
  for (const decoders::RoleName role : row.uses) roles.push_back(UseOf(input, role, false));
  const RoleSignal* unclear = Unclear(row, input);
  if (unclear != nullptr && complete) draft.Missing(WhyMissing(input, unclear->role));
  if (complete) row.run(draft);
  CheckResult result = draft.Take();
  if (unclear != nullptr) WithdrawGoodNews(*unclear, result);
  result.name = row.name;
  result.title = row.title;
  result.stands_on = FootingOf(input, roles);
  result.roles = std::move(roles);
  return result;
}

const std::vector<CheckRow> kChecks = {
    {"insulation",
     "Insulation",
     {"isolation resistance"},
     {"positive voltage to body", "negative voltage to body", "pack voltage", "cell voltages",
      "contactor state", "charge state", "cell temperatures"},
     CheckInsulation},
    {"cooling",
     "Cooling",
     {},
     {"coolant pump speed", "coolant pump", "coolant pump current", "supply voltage",
      "coolant inlet temperature", "coolant outlet temperature", "coolant level",
      "cell temperatures", "pack current", "pack voltage"},
     CheckCooling},
    {"balance",
     "Cell balance",
     {"cell voltages"},
     {"pack current", "pack voltage", "balancing", "cell temperatures"},
     CheckBalance},
    {"resistance",
     "Internal resistance",
     {"pack voltage", "pack current"},
     {"cell voltages", "cell temperatures"},
     CheckResistance},
    {"precharge",
     "Pre-charge",
     {"contactor state", "link voltage", "pack voltage"},
     {},
     CheckPrecharge},
    {"contactors",
     "Contactors",
     {"contactor state", "link voltage", "pack voltage"},
     {"pack current"},
     CheckContactors},
    {"capacity",
     "Capacity and energy",
     {"pack current", "cell voltages"},
     {"pack voltage", "balancing", "vehicle speed", "cell temperatures"},
     CheckCapacity},
    {"supply",
     "12 V supply",
     {"supply voltage"},
     {"contactor state", "converter state"},
     CheckSupply},
    {"range",
     "Range shown",
     {"displayed range"},
     {"state of charge", "energy left", "discharge power limit", "contactor state",
      "contactor inhibit", "crash latch", "cell voltages", "pack current"},
     CheckRange},
    {"interlock",
     "Interlock and crash latch",
     {},
     {"interlock", "crash latch", "contactor state", "contactor request", "converter state",
      "supply voltage", "cell voltages", "pack voltage", "pack current"},
     CheckInterlock},
    {"standby",
     "Standby loss",
     {"state of charge"},
     {"contactor state", "charge state", "odometer", "vehicle speed", "pack current"},
     CheckStandby},
};

}  // namespace

const std::vector<CheckRow>& AllChecks() { return kChecks; }

std::vector<CheckResult> RunChecks(CheckInput& input, const CheckSettings& settings) {
  CheckResult of_signals = CheckSignals(input, settings);
  const std::vector<MeasuredNote> notes = HoldAgainst(input, input.measured);
  of_signals.stands_on = FootingOf(input, of_signals.roles);
  std::vector<CheckResult> results = {CheckDefinitions(input, settings), std::move(of_signals)};
  for (const CheckRow& row : AllChecks()) results.push_back(RunOne(row, input, settings));
  for (CheckResult& result : results) TellMeasured(notes, result);
  AddProvisos(results);
  if (input.part == CheckInput::Part::kAll) JoinPlaces(results);
  return results;
}

Result<std::vector<CheckResult>> RunChecks(session::Reader& reader, const DefinitionSet& set,
                                           const CheckSettings& settings,
                                           std::vector<session::Measurement> measured) {
  ASSIGN_OR_RETURN(CheckInput input, ReadCheckInput(reader, set));
  input.measured = std::move(measured);
  return RunChecks(input, WithFacts(settings, set));
}

CheckSettings WithFacts(const CheckSettings& settings, const DefinitionSet& set) {
  CheckSettings all = settings;
  if (set.definitions != nullptr) all.AddFacts(set.definitions->facts);
  return all;
}

bool AnyOutside(std::span<const CheckResult> results) {
  return std::any_of(results.begin(), results.end(), [](const CheckResult& result) {
    return result.status == CheckStatus::kOutside;
  });
}

bool AnyUndecided(std::span<const CheckResult> results) {
  return std::any_of(results.begin(), results.end(), [](const CheckResult& result) {
    return result.status == CheckStatus::kLookCloser || result.status == CheckStatus::kCannotTell;
  });
}

}  // namespace proofdrive::analysis
