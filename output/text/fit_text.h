// How definitions fit a session, for people.
#pragma once

#include <string>

#include "analysis/fit/measure.h"

namespace proofdrive::output {

// One sentence, then the problems, the notices and the identifiers that are not described. Ends in
// a newline; lines fit kPageWidth where the names in them allow it.
std::string FormatFit(const analysis::SessionFit& fit);

}  // namespace proofdrive::output
