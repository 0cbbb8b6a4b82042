// Check: internal resistance of the pack and of every cell, and of the links between them.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

void CheckResistance(CheckDraft& draft);

}  // namespace proofdrive::analysis
