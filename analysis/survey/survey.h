// A survey of recordings of one vehicle: every identifier nobody has described.
#pragma once

#include <vector>

#include "analysis/survey/identifier_survey.h"

namespace proofdrive::analysis::survey {

// In the order given. A car mostly has one byte order: where an identifier alone can hardly tell,
// the others decide. The same answer at every run; linear in the frames.
std::vector<FoundFrame> Survey(const std::vector<Identifier>& identifiers,
                               const CostWeights& weights = {});

}  // namespace proofdrive::analysis::survey
