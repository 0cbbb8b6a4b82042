// Bits that count the frames, and bits that say which page a frame carries.
#pragma once

#include <optional>
#include <vector>

#include "analysis/survey/rows/bit_line.h"
#include "analysis/survey/rows/found.h"
#include "analysis/survey/rows/payload_rows.h"

namespace proofdrive::analysis::survey {

// Every run of bits that goes up by one from frame to frame, in at least 97 % of the pairs (99 %
// when it counts beyond 256), and uses all its values. The widest first. One line each: within a
// byte, or both byte orders.
std::vector<FoundCounter> FindCounters(const PayloadRows& rows, const BitSet& taken,
                                       const BitCounts& flips);

}  // namespace proofdrive::analysis::survey
