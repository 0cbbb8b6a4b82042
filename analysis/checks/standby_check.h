// Check: what the car loses while it stands.
#pragma once

#include <optional>
#include <span>

#include "analysis/checking/draft.h"
#include "analysis/physics/standby.h"

namespace proofdrive::analysis {

void CheckStandby(CheckDraft& draft);

// The pause between two sessions of one car, from their results of this check: from the charge at
// the end of the first to that at the start of the second, `hours` between both. nullopt when one
// does not have it, when the charge rose (the car was charged), or when an odometer shows that it
// was driven.
std::optional<Pause> PauseBetween(const CheckResult& first, const CheckResult& second,
                                  double hours);

}  // namespace proofdrive::analysis
