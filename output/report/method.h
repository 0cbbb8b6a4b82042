// How results were found and on what they rest, in words for somebody who checks a report.
#pragma once

#include "output/sheet/html.h"

namespace proofdrive::output {

Html ComparisonMethod();
Html SessionMethod();

// Standards and published notes that definitions of verdicts, and limits come from.
Html ComparisonSources();
Html SessionSources();

}  // namespace proofdrive::output
