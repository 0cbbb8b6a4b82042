// Tables of a report about one recording.
#pragma once

#include "analysis/findings/session_findings.h"
#include "output/sheet/html.h"

namespace proofdrive::output {

// Distance, energy and duration.
Html TripTable(const analysis::SessionFindings& findings);

// Lowest, highest and last value of every signal with a role.
Html RoleTable(const analysis::SessionFindings& findings);

// One row per channel: frames, load, errors, silences.
Html BusTable(const analysis::SessionFindings& findings);

// Identifiers whose longest silence was far longer than their period; the longest first.
Html GapTable(const analysis::SessionFindings& findings);

}  // namespace proofdrive::output
