// Check 6: pre-charge and contactors.
#pragma once

#include <optional>
#include <vector>

#include "analysis/checking/draft.h"

namespace proofdrive::analysis {

// One pre-charge, from its command until the state changed.
struct Precharge {
  Interval time;
  bool closed = false;  // ended with the main contactor closing
  double pack_v = 0;
  double end_share = 0;   // of pack voltage, last reading before the end
  double tau_s = 0;       // 0: too few readings
  double rest_share = 0;  // where it would end, of pack voltage; 0: not known
  std::size_t readings = 0;
};
// `states` in order: intervals of pre-charge; `closed`: intervals with the main contactor closed.
std::vector<Precharge> PrechargesOf(const Intervals& charging, const Intervals& closed,
                                    const Track& link, const Track& pack);

void CheckContactors(CheckDraft& draft);

}  // namespace proofdrive::analysis
