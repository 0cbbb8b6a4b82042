// Before any check: which signals cannot be what their definition says. Found first, named, and
// kept from the other checks.
#pragma once

#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"

namespace proofdrive::analysis {

// Pure: what is odd about one track.
// The value stays exactly the same although `related` moves by at least `movement` meanwhile.
bool IsFrozen(const Track& track, const Track& related, double movement);
// Single samples that leave by more than `most` and come straight back.
std::size_t Spikes(const Track& track, double most);
// Share of samples at the value `end`, within half a `step`.
double ShareAt(const Track& track, double end, double step);
// Correlation of changes of current and voltage over changes of at least `least_a`; negative when
// positive current discharges. nullopt with fewer than `kFewestChanges` of them.
inline constexpr std::size_t kFewestChanges = 8;
std::optional<double> CurrentAgainstVoltage(const Track& current, const Track& voltage,
                                            double least_a);

// Judges every signal, sets RoleSignal::unusable, brings pack current to positive = discharge and
// turns it round when its sign is wrong.
CheckResult CheckSignals(CheckInput& input, const CheckSettings& settings);

}  // namespace proofdrive::analysis
