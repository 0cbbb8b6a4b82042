// Check: contactors: closed when they say so, open when they say so.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

void CheckContactors(CheckDraft& draft);

}  // namespace proofdrive::analysis
