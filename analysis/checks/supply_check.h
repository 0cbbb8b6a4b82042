// Check: the 12 V supply.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

void CheckSupply(CheckDraft& draft);

}  // namespace proofdrive::analysis
