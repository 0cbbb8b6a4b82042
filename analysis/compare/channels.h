// Which channel of one session is which of the other.
#pragma once

#include <cstdint>
#include <map>

#include "analysis/findings/session_findings.h"

namespace proofdrive::analysis {

inline constexpr int kNoChannel = 256;

// Channel of `after` -> channel of `before`: those with the same bus or interface name, else the
// same number. Unmatched ones get numbers of their own from kNoChannel up.
std::map<std::uint8_t, int> MatchChannels(const SessionFindings& before,
                                          const SessionFindings& after);

}  // namespace proofdrive::analysis
