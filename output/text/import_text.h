// What `import` says about what it did.
#pragma once

#include <string>

#include "output/pcapng/import.h"

namespace proofdrive::output {

// For people, without the notices (those are messages, not results); ends in a newline.
std::string FormatImport(const std::string& session, const ImportReport& report);

}  // namespace proofdrive::output
