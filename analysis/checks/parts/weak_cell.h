// Part of the check of the cells: the weakest one while current is taken.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

// A cell far below the others under a steady load, above all at the end of a discharge, which it
// ends for all of them. Nothing where the load was never steady for as long as it takes to read
// every cell.
void JudgeWeakCell(CheckDraft& draft, const RoleSignal& cells);

}  // namespace proofdrive::analysis
