// What a signal said most of the time of a session, from its medians of 5 s.
#pragma once

#include <cstdint>
#include <optional>

#include "analysis/findings/session_findings.h"
#include "decoders/model/roles.h"

namespace proofdrive::analysis {

struct Typical {
  double middle = 0;         // median of the windows, in the unit of the signal
  double low = 0, high = 0;  // 10 % and 90 % of them lie below
};
// nullopt for text, states, and signals without a valid value.
std::optional<Typical> TypicalOf(const SessionFindings& findings, std::uint32_t signal);

// The middle of the first signal with this role that has one, in the unit of the role.
std::optional<double> MiddleOfRole(const SessionFindings& findings, decoders::RoleName role);

}  // namespace proofdrive::analysis
