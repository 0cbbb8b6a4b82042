// Check: do the cells stay together, at rest and under load?
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

void CheckBalance(CheckDraft& draft);

}  // namespace proofdrive::analysis
