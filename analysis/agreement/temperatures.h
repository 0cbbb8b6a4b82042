// Neighbours that have had time to become equally warm.
#pragma once

#include "analysis/agreement/agreement.h"

namespace proofdrive::analysis {

void CompareTemperatures(Agreement& agreement);

}  // namespace proofdrive::analysis
