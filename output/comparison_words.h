// Short phrases about sessions and streams, the same in text and in reports. Not escaped.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "analysis/compare/traffic.h"
#include "analysis/session_findings.h"

namespace proofdrive::output {

// "a", "a and b", "a, b and c".
std::string Enumerate(const std::vector<std::string>& parts);

// "2A1 pack_status".
std::string StreamText(const analysis::StreamName& stream);

// "100 ms"; empty when it is not positive.
std::string PeriodText(Duration period);

// "6 and 8 bytes".
std::string LengthsText(const std::map<std::uint8_t, std::uint64_t>& lengths);

// Names of the definition files and where they came from; "none".
std::string DefinitionsUsed(const analysis::SessionFindings& findings);

// "complete, 12 frames dropped".
std::string ConditionOf(const analysis::SessionFindings& findings);

// What the session, else the definitions, call the vehicle; may be empty.
std::string VehicleOf(const analysis::SessionFindings& findings);

}  // namespace proofdrive::output
