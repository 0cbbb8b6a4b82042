// A sheet for a terminal.
#pragma once

#include <string>

#include "output/sheet/sheet.h"

namespace proofdrive::output {

// Name and lead, then the table if there are rows; at most kPageWidth wide where words allow.
// Nothing of an empty sheet.
std::string SheetText(const Sheet& sheet);

}  // namespace proofdrive::output
