// Check: the insulation of the high-voltage circuit against the body.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

void CheckInsulation(CheckDraft& draft);

}  // namespace proofdrive::analysis
