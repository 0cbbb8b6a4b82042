// Trouble codes, readiness and identification of control units as JSON.
#pragma once

#include <string>

#include "analysis/asking/asked.h"

namespace proofdrive::output {

// {"session", "conversations", "requests", "units": [...]}, indented, ending in a newline.
std::string CodesJson(const analysis::AskedUnits& asked, const std::string& path);
std::string IdentificationJson(const analysis::AskedUnits& asked, const std::string& path,
                               bool show_vin);

}  // namespace proofdrive::output
