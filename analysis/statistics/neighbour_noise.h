// Noise of a signal that itself moves slowly.
#pragma once

#include <span>

namespace proofdrive::analysis {

// One standard deviation, robust, from the steps between values that follow each other; 0 with
// fewer than two.
double NeighbourNoise(std::span<const double> values);

}  // namespace proofdrive::analysis
