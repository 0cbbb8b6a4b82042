// The document of `survey --json`.
#pragma once

#include <string>
#include <vector>

#include "analysis/survey/rows/found.h"

namespace proofdrive::output {

std::string SurveyJson(const std::vector<analysis::survey::FoundFrame>& found);

}  // namespace proofdrive::output
