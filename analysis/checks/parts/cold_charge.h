// Part of the check of the cells: charging while they are cold.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

// Lithium plates on graphite that is charged cold: quick charging below freezing, or any below -10
// degC, that lasts minutes. Needs pack current and cell temperatures, says nothing without.
void JudgeColdCharge(CheckDraft& draft);

}  // namespace proofdrive::analysis
