// What is counted over time against what is shown of it: current and charge, speed and distance.
#pragma once

#include "analysis/agreement/agreement.h"

namespace proofdrive::analysis {

void CompareCounts(Agreement& agreement);

}  // namespace proofdrive::analysis
