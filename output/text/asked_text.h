// Trouble codes, readiness and identification of control units, for people.
#pragma once

#include <string>

#include "analysis/asking/asked.h"

namespace proofdrive::output {

// For people; ends in a newline. `asked` as the session has it.
std::string FormatCodes(const analysis::AskedUnits& asked, const std::string& path);
// `show_vin`: the vehicle identification number in full, else masked.
std::string FormatIdentification(const analysis::AskedUnits& asked, const std::string& path,
                                 bool show_vin);

}  // namespace proofdrive::output
