// The document of `survey --json`.
#pragma once

#include <string>
#include <vector>

#include "analysis/survey/meaning/answers.h"
#include "analysis/survey/rows/found.h"

namespace proofdrive::output {

std::string SurveyJson(const std::vector<analysis::survey::FoundFrame>& found,
                       const analysis::survey::Answers& answers);

}  // namespace proofdrive::output
