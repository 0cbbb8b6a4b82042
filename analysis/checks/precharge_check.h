// Check: pre-charge, and how far the link was when the main contactor closed.
#pragma once

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
// `charging`: intervals of pre-charge, in order; `closed`: those with the main contactor closed.
std::vector<Precharge> PrechargesOf(const Intervals& charging, const Intervals& closed,
                                    const Track& link, const Track& pack);

void CheckPrecharge(CheckDraft& draft);

}  // namespace proofdrive::analysis
