// Check: what the pack holds between two rested points, and what driving takes.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

void CheckCapacity(CheckDraft& draft);

}  // namespace proofdrive::analysis
