// Check 3: internal resistance of the pack and of every cell, and of the links between them.
#pragma once

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

// Sum of cells less pack voltage against current (positive = discharge), at times when the current
// was steady: slope in ohm is the resistance of links and joints.
struct LinkFit {
  double ohm = 0;
  double ohm_uncertainty = 0;  // one standard deviation
  double offset_v = 0;
  std::size_t samples = 0;
  double most_amps = 0;  // span of the currents used
};
LinkFit FitLinks(const Track& pack, const std::vector<Track>& cells, const Track& current);

void CheckResistance(CheckDraft& draft);

}  // namespace proofdrive::analysis
