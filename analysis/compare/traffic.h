// What changed in the traffic itself: identifiers that vanished or appeared, periods, lengths.
// Needs no definitions. Made not to raise an alarm on two halves of one healthy recording.
#pragma once

#include "analysis/compare/traffic_comparison.h"
#include "analysis/findings/session_findings.h"

namespace proofdrive::analysis {

// Channels are matched by their bus or interface name, the others by number.
TrafficComparison CompareTraffic(const SessionFindings& before, const SessionFindings& after);

}  // namespace proofdrive::analysis
