#include "analysis/warned/warned_checks.h"

#include <algorithm>
#include <string>

#include "analysis/session/warning_sources.h"
#include "core/base/time.h"

namespace proofdrive::analysis {
namespace {

// Whether the condition reads a signal whose role the check cannot do without.
bool AsksForTheSame(const decoders::Definitions& definitions, const decoders::Warning& warning,
                    const CheckResult& result) {
  const auto signals = SignalsIn(definitions, warning.when.text);
  return std::any_of(result.roles.begin(), result.roles.end(), [&](const RoleUse& use) {
    return use.needed && std::any_of(signals.begin(), signals.end(), [&](std::uint32_t signal) {
             return definitions.signals[signal].role == use.role;
           });
  });
}

void Add(const decoders::Warning& warning, const decoders::WarningHistory& history,
         CheckResult& result) {
  const std::string text = "the warning " + warning.name + " (" + warning.text + ") was on for " +
                           SpokenDuration(history.on) + ", when " + warning.when.text;
  if (result.status != CheckStatus::kWithin) {
    result.findings.push_back(text);
    return;
  }
  result.status = CheckStatus::kLookCloser;
  result.summary = text + ", though by the limits of this check " + result.summary;
}

}  // namespace

void HoldAgainstWarnings(const SessionFindings& findings, std::vector<CheckResult>& results) {
  if (findings.definitions == nullptr) return;
  const decoders::Definitions& definitions = *findings.definitions;
  for (std::size_t i = 0; i < findings.warnings.size(); ++i) {
    if (findings.warnings[i].on <= Duration{0}) continue;
    for (CheckResult& result : results) {
      if (result.name == kSignalsCheck) continue;
      const decoders::Warning& warning = definitions.warnings[i];
      if (AsksForTheSame(definitions, warning, result)) {
        Add(warning, findings.warnings[i], result);
      }
    }
  }
}

}  // namespace proofdrive::analysis
