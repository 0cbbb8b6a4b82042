// The document of `import --json`.
#pragma once

#include <string>

#include "output/pcapng/import.h"

namespace proofdrive::output {

std::string ImportJson(const std::string& session, const ImportReport& report);

}  // namespace proofdrive::output
