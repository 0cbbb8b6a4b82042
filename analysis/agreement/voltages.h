// Cells, pack and link against each other.
#pragma once

#include "analysis/agreement/agreement.h"

namespace proofdrive::analysis {

void CompareVoltages(Agreement& agreement);

}  // namespace proofdrive::analysis
