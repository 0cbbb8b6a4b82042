// What a survey answers to questions about meaning: one answer to each mark, reference or list of
// numbers. Plain values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/survey/meaning/follow.h"
#include "analysis/survey/meaning/marks.h"
#include "analysis/survey/meaning/noted.h"
#include "analysis/survey/meaning/relations.h"

namespace proofdrive::analysis::survey {

struct FollowAnswer {
  std::string reference;
  std::vector<Partner> partners;
  std::string notice;  // why there are none; empty: nothing to say
};

struct Answers {
  std::vector<FollowAnswer> follows;
  std::string marks_asked;  // the pattern
  std::optional<MarkAnswer> marks;
  std::optional<NotedAnswer> noted;
  std::optional<std::vector<Relation>> relations;
  bool empty() const { return follows.empty() && !marks && !noted && !relations; }
};

}  // namespace proofdrive::analysis::survey
