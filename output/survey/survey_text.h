// What a survey proposes, for people.
#pragma once

#include <string>
#include <vector>

#include "analysis/survey/meaning/answers.h"
#include "analysis/survey/rows/found.h"

namespace proofdrive::output {

// One sentence, then the identifiers with their proposals. Ends in a newline.
std::string FormatSurvey(const std::vector<analysis::survey::FoundFrame>& found);

// The answers to what was asked, each led by its question. Ends in a newline.
std::string FormatAnswers(const analysis::survey::Answers& answers);

}  // namespace proofdrive::output
