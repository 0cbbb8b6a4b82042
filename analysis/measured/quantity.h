// What a person measured, from the words they write: "insulation 2.1 Mohm", "cell 7 3.652 V".
#pragma once

#include <string>
#include <string_view>

#include "core/base/result.h"
#include "session/beside/measurements.h"

namespace proofdrive::analysis {

// Role, element, value, unit and text of a measurement; its time and `how` are the caller's.
// Quantities are the names of roles that are numbers, and everyday names for some of them. The
// message of an error says what to write.
Result<session::Measurement> ParseMeasured(std::string_view text);

// The value in the unit that checks calculate in.
double InUnitOfRole(const session::Measurement& measurement);

// Whoever measures it works at the high-voltage system.
bool IsHighVoltage(std::string_view role);

// "insulation (isolation resistance), pack voltage, ...": what can be written.
std::string QuantitiesInWords();

}  // namespace proofdrive::analysis
