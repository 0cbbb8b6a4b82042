// Writes what a survey found into a definition file, or adds it to one that is there.
#pragma once

#include <string>
#include <vector>

#include "analysis/survey/meaning/answers.h"
#include "analysis/survey/rows/found.h"
#include "core/base/result.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {

// A file that is there keeps every line it has: what it describes was left out of the survey, so
// give it with the definitions. The result is loaded before it is written; a result with mistakes
// is not written.
Status WriteDraft(Environment& environment, const std::string& path,
                  const std::vector<analysis::survey::FoundFrame>& found,
                  const analysis::survey::Answers& answers);

}  // namespace proofdrive::tools
