// The one place where the fleet meets the checks: what a car sent, as the checks see it.
#pragma once

#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"
#include "tests/fleet/car/car.h"
#include "tests/fleet/sensors/sent.h"

namespace proofdrive::fleet {

// As reading a session with a right definition file gives it (analysis/checking/input.cc). The
// values are moved out of `sent`.
analysis::CheckInput InputOf(Sent sent);

// What the owner wrote below "facts" of the definition file, and no setting besides.
analysis::CheckSettings SettingsOf(const Facts& facts);

// Each as "pack.capacity" and its value, for a definition file.
std::vector<decoders::Fact> FactsOf(const Facts& facts);

}  // namespace proofdrive::fleet
