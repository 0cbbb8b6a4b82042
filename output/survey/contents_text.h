// What an identifier ever said, for people.
#pragma once

#include <string>
#include <vector>

#include "analysis/survey/rows/contents.h"

namespace proofdrive::output {

// A table of the contents, each told against the one before it, then what was said around each
// mark. Counter and check of `found` were taken out. Ends in a newline.
std::string FormatContents(const analysis::survey::Identifier& identifier,
                           const analysis::survey::FoundFrame& found,
                           const analysis::survey::Contents& contents,
                           const std::vector<analysis::survey::AroundMark>& marks);

}  // namespace proofdrive::output
