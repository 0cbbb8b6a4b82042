// Check: is coolant really flowing through the pack, or is there air in the loop?
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

void CheckCooling(CheckDraft& draft);

}  // namespace proofdrive::analysis
