// Bits that say which page of a long list a frame carries.
#pragma once

#include <optional>

#include "analysis/survey/rows/found.h"
#include "analysis/survey/rows/payload_rows.h"

namespace proofdrive::analysis::survey {

// A byte, or half of one, that changes with most frames, whose next value can be foretold, and that
// other bytes depend on: the correlation ratio (Pearson 1905; corrected for bias as by Kelley 1935,
// both from memory) of a byte within one round of pages is above 0.15. `taken`: the checksum, which
// depends on everything. nullopt: none; a counter has no bytes that depend on it.
std::optional<decoders::Location> FindSelector(const PayloadRows& rows, const BitSet& taken,
                                               const BitCounts& flips);

}  // namespace proofdrive::analysis::survey
