// Part of the check of the cells: what no cell of its chemistry should see.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

// Over-charge, deep discharge, cells near zero or reversed, at any time of the recording; a cell
// that falls away under load; charging in the cold.
void JudgeCellLimits(CheckDraft& draft);

}  // namespace proofdrive::analysis
