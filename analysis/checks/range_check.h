// Check: is the range shown consistent with what it is made from, and what makes it zero?
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

void CheckRange(CheckDraft& draft);

}  // namespace proofdrive::analysis
