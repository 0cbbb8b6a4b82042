// The questions of `survey`: marks, references and numbers that were written down.
#pragma once

#include <string>
#include <vector>

#include "analysis/survey/meaning/answers.h"
#include "analysis/survey/rows/contents.h"
#include "core/base/result.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {

struct SurveyQuestions {
  std::string marks;                 // pattern with * and ?; empty: not asked
  std::vector<std::string> follows;  // signals of the definitions, or files ending in .csv
  std::vector<std::string> noted;
  bool relations = false;
  bool empty() const { return marks.empty() && follows.empty() && noted.empty() && !relations; }
};

// Whether `text` fits a pattern in which * stands for anything and ? for one character, whatever
// the case of letters.
bool FitsPattern(std::string_view text, std::string_view pattern);

// The marks of all sessions, in order of their sessions. `pattern` empty: all.
Result<std::vector<analysis::survey::Mark>> ReadMarks(Environment& environment,
                                                      const std::vector<std::string>& paths,
                                                      const std::string& pattern);

// `paths`: the sessions that were surveyed. `definitions`: files given, else those stored with
// each.
Result<analysis::survey::Answers> AnswerQuestions(
    Environment& environment, const SurveyQuestions& questions,
    const std::vector<std::string>& paths, const std::vector<std::string>& definitions,
    const std::vector<analysis::survey::Identifier>& identifiers,
    const std::vector<analysis::survey::FoundFrame>& found);

}  // namespace proofdrive::tools
