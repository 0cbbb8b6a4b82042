// The first sentence of every answer when the definitions describe nothing of what was recorded.
#pragma once

#include <string>
#include <string_view>

#include "analysis/findings/coverage.h"

namespace proofdrive::output {

// "These definitions describe 0 of 153 identifiers of this recording: nothing can be judged."; of
// few: "These definitions describe 3 of 153 identifiers of this recording." Empty where they
// describe enough, or there are none. `where`: "this recording", "the before-session".
std::string CoverageText(const analysis::Coverage& coverage,
                         std::string_view where = "this recording");

}  // namespace proofdrive::output
