// All checks of one session: is insulation holding, is coolant flowing, is a cell going away, do
// the contactors close as they should, and so on.
//
// A check is one file pair and one row in checks.cc. It reads signals by role, never by name, and
// leaves its arithmetic to analysis/physics. No check ever says that something is harmless: at most
// that nothing in this recording contradicts the limits it names.
#pragma once

#include <span>
#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/checking/draft.h"
#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"
#include "analysis/findings/findings_of.h"
#include "core/base/result.h"
#include "session/reader.h"

namespace proofdrive::analysis {

struct CheckRow {
  std::string_view name;   // "insulation"; stable, users and scripts rely on it
  std::string_view title;  // "Insulation"
  // Without every one of these there is nothing to judge.
  std::vector<decoders::RoleName> needs;
  // What else it looks at.
  std::vector<decoders::RoleName> uses;
  void (*run)(CheckDraft& draft);
};
// In the order they are shown.
const std::vector<CheckRow>& AllChecks();

// Reads the session once and runs every check; the first results are how the
// definitions agree with each other ("definitions") and what the signals are like ("signals"); what
// they find unusable no other check uses. Without definitions every check says
// that it cannot tell. Facts of the definition files count where `settings` does not say otherwise.
// `measured`: by hand, while the session was recorded.
Result<std::vector<CheckResult>> RunChecks(session::Reader& reader, const DefinitionSet& set,
                                           const CheckSettings& settings,
                                           std::vector<session::Measurement> measured = {});

// The same on signals that were read before; the plausibility of each, and what measurements say of
// it, is noted in `input`.
std::vector<CheckResult> RunChecks(CheckInput& input, const CheckSettings& settings);

// `settings` with the facts of the definition files added.
CheckSettings WithFacts(const CheckSettings& settings, const DefinitionSet& set);

bool AnyOutside(std::span<const CheckResult> results);
// Any "look closer" or "cannot tell".
bool AnyUndecided(std::span<const CheckResult> results);

}  // namespace proofdrive::analysis
