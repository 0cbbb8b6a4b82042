// Jumps of the pack voltage that no current explains.
#pragma once

#include <cstddef>
#include <vector>

#include "analysis/checking/track.h"

namespace proofdrive::analysis {

// Indices of the readings of `volts` that leave and come straight back by more than `floor_v` and
// by more than three times what the reach of the current around them can do: `ohm` (volt over
// ampere while the pack works) times that reach. None where the current is sent so seldom (above
// one second) that a load could pass unseen, or stays at its own largest value: it may be clipped.
std::vector<std::size_t> UnexplainedJumps(const Track& volts, const Track& amps, double ohm,
                                          double floor_v);

}  // namespace proofdrive::analysis
