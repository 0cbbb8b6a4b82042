// A sheet for a report.
#pragma once

#include "output/sheet/html.h"
#include "output/sheet/sheet.h"

namespace proofdrive::output {

// A heading, the lead as a sentence, then the table if there are rows. Nothing of an empty sheet.
Html SheetHtml(const Sheet& sheet);

}  // namespace proofdrive::output
