// Check: interlock loop, service disconnect and crash latch, as far as signals exist.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

void CheckInterlock(CheckDraft& draft);

}  // namespace proofdrive::analysis
